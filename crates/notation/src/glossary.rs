//! The words and marks of a parts file, each explained in a few sentences.

use crate::NoteSign;
use crate::note_sign::note_signs_typed;

/// A word or mark that can be typed.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Term {
    /// As it is typed: `sb`, `( )`.
    pub typed: &'static str,
    /// As it is called: `semibreve`, `ligature`.
    pub called: &'static str,
    /// What it means, with an example.
    pub text: &'static str,
}

const fn term(typed: &'static str, called: &'static str, text: &'static str) -> Term {
    Term { typed, called, text }
}

impl Term {
    /// Those that are learnt before the signs at a note.
    const BEFORE_SIGNS: &[Term] = &[
        term(
            "voice",
            "voice",
            "Opens a voice, on a line of its own: `voice Cantus clef C1`. A name is one word. \
             Signature, sign, positions and canon may go on the line too; the music begins on \
             the next line.",
        ),
        term(
            "example",
            "example",
            "Opens an example, on a line of its own: `example 12`. A file may have several, \
             each with its own head items and voices; what stands before the first holds for \
             all. `F.parts#12` names one of them.",
        ),
        term(
            "clef",
            "clef",
            "A letter and a line from the bottom: C1 soprano, C3 alto, C4 tenor, F4 bass, G2 \
             violin. Type it on the line of the voice, and wherever it changes: `clef C3`.",
        ),
        term(
            "sign",
            "mensuration or proportion sign",
            "`sign C|`: circle O, half circle C or reversed rC, with dot and stroke, then \
             figures; or figures alone, 3 or 3/2. In the head it holds for all voices; in a \
             voice, type it on the line of the voice, or wherever it is printed.",
        ),
        term(
            "signature",
            "signature",
            "`signature Bb`, `signature Bb,Eb`, `signature F#`, `signature none`: type it in \
             the head for all voices, or on the line of a voice, or wherever it changes.",
        ),
        term("none", "no signature", "`signature none`: no flats and no sharps from here on."),
        term("mx", "maxima", "Two longas. A value is in force until the next: `mx D4 lg E F`."),
        term("lg", "longa", "Two breves. A value is in force until the next: `lg D4 br E F`."),
        term(
            "br",
            "breve",
            "Two semibreves, or three where it is perfect (sign O). A value is in force until the \
             next: `br D4 E sb F`.",
        ),
        term(
            "sb",
            "semibreve",
            "Two minims, or three where it is perfect (a dot in the sign). A value is in force \
             until the next: `sb D4 E mn F`.",
        ),
        term(
            "mn",
            "minim",
            "The unit of counting. A value is in force until the next: `mn D4 E F`.",
        ),
        term("sm", "semiminim", "Half a minim. A value is in force until the next: `sm D4 E F`."),
        term("fu", "fusa", "A quarter of a minim. A value is in force until the next: `fu D4 E`."),
        term(
            "sf",
            "semifusa",
            "An eighth of a minim. A value is in force until the next: `sf D4 E`.",
        ),
        term(
            "D D4",
            "note",
            concat!(
                "A letter A to G, capital or small; B is the step above A. A bare letter is its \
                 place on the staff. If it has two, the one within a third of the note before is \
                 meant; if neither is, type the octave: C4 is middle C. Type as one word, in this \
                 order: letter, sign, editor's sign, octave, dot,",
                note_signs_typed!(),
                ", length: `F#[n]4.^`."
            ),
        ),
        term(
            "# b n",
            "accidental",
            "A printed sign, right after the letter: `F#`, `Bb`, `Bn4`. It holds for its note \
             and for immediate repetitions of it.",
        ),
        term(
            "[#] [b] [n]",
            "editorial accidental",
            "The editor's sign, drawn small over the note: `F[#]`, `B[b]4`. It holds for its \
             note alone.",
        ),
        term(
            ". .+ .:",
            "dot",
            "A dot after the note, as printed: `D.`; the rules decide what it does. If the \
             editor decides, `D.+` adds and `D.:` divides. A dot belongs to the note, not to \
             the value.",
        ),
        term(
            ".E ._",
            "completing note",
            "A dot before a note or rest: it has half the value in force, and completes a \
             dotted note. `mn G. .F E` is a dotted minim, a semiminim, a minim.",
        ),
        term(
            "_ _*4 _2 _3",
            "rest",
            "`_` is a rest of the value in force, `_*4` are four; `lg _2` and `lg _3` are long \
             rests over two or three spaces.",
        ),
    ];

    /// Those that are learnt after the signs at a note.
    const AFTER_SIGNS: &[Term] = &[
        term(
            "= =5/2",
            "length",
            "The editor's length of a note or rest, in minims, whatever the rules say: `D4=5/2`.",
        ),
        term("+", "two notes at once", "Joins notes that sound together: `D3+A.`."),
        term(
            "/",
            "line end",
            "Ends a line of the source, with a blank before and after. The direct comes before \
             it: `sb D4 E ~F / F`.",
        ),
        term("//", "page end", "Ends a page of the source."),
        term(
            "~ ~E ~E4",
            "direct",
            "The custos at the end of a source line: the step of the next note. It is compared \
             with that note; this finds many slips.",
        ),
        term(
            "|",
            "bar line",
            "A printed bar line, if the head says `layout barred`. Other sources have none, and \
             the program draws the bars. Within < > it separates the two sides.",
        ),
        term("||", "section", "The end of a section; all voices meet there."),
        term("::", "repeat", "The end of a section that is repeated."),
        term("( )", "ligature", "The notes of a ligature, with their values: `( sb D3 E ) br F`."),
        term("\\", "oblique", "Two notes of a ligature share an oblique body: `( br D \\ C )`."),
        term("{ }", "coloration", "Blackened notes: `{ br D4 sb E }`."),
        term(
            "[ ]",
            "supplied",
            "What is not in the source, but added by the editor: `[ mn E F ]`. After it, the \
             value from before it is in force again.",
        ),
        term(
            "< | >",
            "emendation",
            "< what is printed | what is read >: `< mn G | sm G >`. Either side may be empty.",
        ),
        term(
            "<? | >",
            "variant",
            "Two readings not yet decided; the first is read: `<? mn G | sm G >`.",
        ),
        term(
            "\"",
            "words",
            "A rubric or cue, on one line: `\"Secunda pars\"`. The score shows it.",
        ),
        term(
            "ratio",
            "ratio",
            "The editor's reading of a proportion: `ratio 3:2` counts three of a value in the \
             time of two of it. Type it after the sign, or before black notes; `ratio 1:1` ends \
             it.",
        ),
        term(
            "perfect",
            "perfect",
            "`perfect br`: the breve holds three from here to the next sign.",
        ),
        term(
            "imperfect",
            "imperfect",
            "`imperfect br`: the breve holds two from here to the next sign.",
        ),
        term(
            "more",
            "more of a voice",
            "`more Cantus`, on a line of its own, continues a voice that was opened further up.",
        ),
        term(
            "positions",
            "positions",
            "On the line of a voice: type its notes as places on the staff, 2 the bottom line, \
             6 the middle line, 11 the space above the staff.",
        ),
        term(
            "canon above below after",
            "canon",
            "`voice Comes canon Cantus 5 above after 4` is a voice that is not written out: it \
             follows Cantus a fifth above, four minims later. It may also follow `below`.",
        ),
        term("title", "title", "A line of the head: the title of the piece."),
        term("composer", "composer", "A line of the head: who wrote the music."),
        term("source", "source", "A line of the head: where the piece is printed."),
        term("editor", "editor", "A line of the head: who made this file."),
        term("note", "note of the editor", "A line of the head: anything worth saying."),
        term(
            "topic",
            "topic",
            "A line of the head: the editor's keywords, parted by commas, by which `find` and \
             `catalogue` know the piece.",
        ),
        term(
            "facsimile *",
            "facsimile",
            "A line of the head: `facsimile Tenor 2 tenor.png 1 120 340 1800 150 0` says where \
             the second line of Tenor stands in a picture: file, page, left and upper edge, \
             width, height, angle. With `*` for the voice, it is a system of all voices.",
        ),
        term(
            "layout stacked partbooks barred",
            "layout",
            "A line of the head. `layout stacked`: the voices' lines stand above one another \
             and break together. `layout partbooks`: they do not. `layout barred`: the print \
             has bar lines.",
        ),
        term(
            "subject",
            "subject",
            "A line of the head: `subject Tenor 1-6` says which notes and rests, counted as \
             printed, are the subject.",
        ),
        term(
            "mark bracket circle arrow",
            "mark",
            "A line of the head: `mark Tenor 3-9 circle blue \"subject\"` marks notes and \
             rests, counted as printed, in every picture: with a bracket over them, or a circle \
             round or an arrow at each; with words; in a colour.",
        ),
        term(
            "hand left right",
            "hand",
            "A line of the head: `hand left Tenor 3-9` gives notes of a voice, counted as printed, \
             to a hand of the keyboard score, whatever the program would do.",
        ),
        term(
            "break page",
            "break",
            "A line of the head: with bar 12, `break 12` begins a system of the score and `page 12` \
             a page.",
        ),
        term(
            "blue orange green red purple sky",
            "colour",
            "The colour of a `mark`. Each has its own kind of line: blue is dashed, orange \
             dashed and dotted, green dotted, red thick, purple has two dots between dashes, \
             sky short dashes.",
        ),
        term(
            ";",
            "comment",
            "From ; to the end of the line is a comment, for people who read the file.",
        ),
    ];

    /// All terms, in the order in which one learns them.
    pub fn all() -> impl Iterator<Item = Term> {
        let signs = NoteSign::ALL.iter().map(|sign| {
            let sign = sign.description();
            term(sign.typed, sign.called, sign.text)
        });
        let (before, after) = (Term::BEFORE_SIGNS.iter(), Term::AFTER_SIGNS.iter());
        before.copied().chain(signs).chain(after.copied())
    }

    /// The term that is typed or called so; one that begins so rather than one that has it within.
    pub fn find(word: &str) -> Option<Term> {
        let word = word.to_lowercase();
        let begins = |term: &Term| term.typed.split(' ').next() == Some(&word);
        let is_called = |term: &Term| term.called == word;
        let has = |term: &Term| term.typed.to_lowercase().split(' ').any(|typed| typed == word);
        let find = |is_it: &dyn Fn(&Term) -> bool| Term::all().find(is_it);
        find(&begins).or_else(|| find(&is_called)).or_else(|| find(&has))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn terms_are_found_by_what_is_typed_and_by_name() {
        for (word, called) in [
            ("sb", "semibreve"),
            ("Semibreve", "semibreve"),
            ("(", "ligature"),
            ("ligature", "ligature"),
            ("|", "bar line"),
            (">", "emendation"),
            ("D4", "note"),
            ("note", "note of the editor"),
        ] {
            assert_eq!(Term::find(word).unwrap().called, called, "{word}");
        }
        assert_eq!(Term::find("xylophone"), None);
    }
}
