//! The stable codes of all errors and warnings, and what `explain` tells of each.

use std::fmt;

use crate::note_sign::note_signs_called;

/// Whether the file is wrong, or something in it only looks doubtful.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Severity {
    /// Something could not be read or counted.
    Error,
    /// It could; but look.
    Warning,
}

macro_rules! codes {
    ($($(#[$doc:meta])* $name:ident $number:literal $title:literal
        $explanation:tt $wrong:literal => $right:literal)*) => {
        /// The stable code of an error (`E…`) or a warning (`W…`).
        #[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
        #[allow(missing_docs)]
        pub enum Code {
            $($name,)*
        }

        impl Code {
            /// All codes, by number.
            pub const ALL: &'static [Code] = &[$(Code::$name,)*];

            /// As it is written: `E012`.
            pub fn number(self) -> &'static str {
                match self { $(Code::$name => $number,)* }
            }

            /// What it is about, in a few words.
            pub fn title(self) -> &'static str {
                match self { $(Code::$name => $title,)* }
            }

            /// What it means and what to do, at length.
            pub fn explanation(self) -> &'static str {
                match self { $(Code::$name => $explanation,)* }
            }

            /// A small parts file that has it.
            pub fn example(self) -> &'static str {
                match self { $(Code::$name => $wrong,)* }
            }

            /// The same file without it.
            pub fn mended(self) -> &'static str {
                match self { $(Code::$name => $right,)* }
            }
        }
    };
}

codes! {
    UnknownWord "E001" "an unknown word"
    "The word is not a note, a rest, a value or a keyword. It is ignored, and the nearest known \
     word is suggested. Often two letters are swapped, or a keyword has a capital letter."
    "voice Cantus clef C1\n  sb D4 E nm F\n" => "voice Cantus clef C1\n  sb D4 E mn F\n"

    MalformedNote "E002" "a note or rest with something in it that does not belong there"
    {
        concat!(
            "Type a note in this order: the dot of a completing note, the step, the printed sign, \
             the editor's sign in brackets, the octave, the dot",
            note_signs_called!(),
            ", and the editor's length after =. Join several notes at once by +. Put a blank between \
             the note and everything else, even a /."
        )
    }
    "voice Cantus clef C1\n  sb D4# E F\n" => "voice Cantus clef C1\n  sb D#4 E F\n"

    OctaveUndecided "E003" "a letter that has two places on the staff"
    "A bare letter is its place on the staff of the clef in force. Four letters have two places \
     there. If one of them lies within a third of the note before, that one is meant. If neither \
     does, and on the first note of a voice, type the octave: middle C is C4. So the program \
     never guesses a leap. It says which of the two the other voices and the line of the voice \
     itself speak for; `check --fix --octaves` types those for which both speak alike. If it says \
     that the clef looks wrong, look at the clef first."
    "voice Cantus clef C1\n  sb D G D\n" => "voice Cantus clef C1\n  sb D4 G D5\n"

    NoValue "E004" "a note or rest before any value"
    "Type a value (mx lg br sb mn sm fu sf) before the first note or rest of a voice; it is in \
     force until the next one. The note is counted as a minim until you type its value."
    "voice Cantus clef C1\n  D4 E F\n" => "voice Cantus clef C1\n  sb D4 E F\n"

    BarLineUnbarred "E005" "a bar line in a source that has none"
    "A single | is a printed bar line. Sources in separate voices have none; the program draws the \
     bars itself. If the print has bar lines, type `layout barred` in the head. The end of a \
     section is ||."
    "voice Cantus clef C1\n  sb D4 E | F G\n" => "layout barred\nvoice Cantus clef C1\n  sb D4 E | F G\n"

    GroupInItself "E006" "a group opened within a group of its kind"
    "Ligature ( ), coloration { }, supplied [ ], emendation < | > and variant <? | > may stand in \
     one another, but not in a group of the same kind. Most likely the first was never closed. The \
     second opening is ignored."
    "voice Cantus clef C1\n  ( sb D4 E ( F G )\n" => "voice Cantus clef C1\n  ( sb D4 E ) ( F G )\n"

    GroupNotOpen "E007" "a closing sign without its opening"
    "Every ) } ] > needs its opening before it in the same voice. Groups close in reverse order; \
     only coloration and ligatures may overlap."
    "voice Cantus clef C1\n  sb D4 E ) F\n" => "voice Cantus clef C1\n  ( sb D4 E ) F\n"

    GroupNotClosed "E008" "a group that is never closed"
    "A group must close in the voice in which it began, before the next `voice` or `more`, and in \
     the same side of an emendation. It may run across source lines. Here it is taken to end with \
     its voice, block or side."
    "voice Cantus clef C1\n  sb D4 [ E F\n" => "voice Cantus clef C1\n  sb D4 [ E ] F\n"

    EmendationSides "E009" "an emendation or variant without its two sides"
    "An emendation is < what is printed | what is read >; a variant is <? one reading | the other \
     >. Each has exactly one |. `< mn G | >` deletes, `< | mn G >` adds."
    "voice Cantus clef C1\n  mn D4 < sm G mn G > F\n" => "voice Cantus clef C1\n  mn D4 < sm G | mn G > F\n"

    CompletingNote "E010" "a completing note that completes nothing"
    "A note with a dot before it, .E, has half the value in force and completes the dotted note \
     before it: `mn G. .F E` is a dotted minim, a semiminim, a minim. It needs a dotted note right \
     before it, and a value that has a smaller one."
    "voice Cantus clef C1\n  mn G4 .F E\n" => "voice Cantus clef C1\n  mn G4. .F E\n"

    HeadItem "E011" "a head item that is out of place or incomplete"
    "Each item of the head fills one line and stands before the first voice: title, composer, source, \
     editor, note, topic (free text), layout (stacked, partbooks or barred), sign, signature, subject, \
     mark, hand, break, page, facsimile. All but note, topic, subject, mark, hand, break, page \
     and facsimile may appear only once."
    "layout stack\nvoice Cantus clef C1\n  sb D4\n" => "layout stacked\nvoice Cantus clef C1\n  sb D4\n"

    VoiceName "E012" "a voice without a name of its own"
    "To open a voice, type `voice` at the beginning of a line, then a name: one word that no other \
     voice has. To go on with a voice, type `more` and its name."
    "voice Cantus clef C1\n  sb D4\nvoice Cantus clef C4\n  sb D4\n" => "voice Cantus clef C1\n  sb D4\nvoice Tenor clef C4\n  sb D4\n"

    MoreOfNoVoice "E013" "more of a voice that was not opened"
    "`more NAME`, on a line of its own, continues a voice that `voice NAME` has opened further up."
    "voice Cantus clef C1\n  sb D4\nmore Canto\n  sb E\n" => "voice Cantus clef C1\n  sb D4\nmore Cantus\n  sb E\n"

    NoClef "E014" "music without a clef"
    "The clef says what the letters and places of a voice mean. Type the clef that is printed, as \
     its letter and its line from the bottom: `voice Tenor clef C4`."
    "voice Tenor\n  sb D3\n" => "voice Tenor clef C4\n  sb D3\n"

    NoSuchClef "E015" "no such clef"
    "Type a clef as its letter, G, C or F, and its line, 1 to 5 from the bottom: C1 soprano, C3 \
     alto, C4 tenor, F4 bass, G2 violin."
    "voice Tenor clef D4\n  sb D4\n" => "voice Tenor clef C4\n  sb D4\n"

    NoSuchSignature "E016" "no such signature"
    "Type a signature as its accidentals, with commas and no blanks between them: `signature Bb`, \
     `signature Bb,Eb`, `signature F#`; `signature none` ends one."
    "voice Tenor clef C4 signature 1b\n  sb D4\n" => "voice Tenor clef C4 signature Bb\n  sb D4\n"

    NoSuchSign "E017" "no such mensuration or proportion sign"
    "A sign is a circle O, a half circle C or a reversed one rC (capital or small), with the dot of \
     prolation and the stroke if printed (O. C| C.|), then one or two figures if printed (C3, C|3, \
     O3); or figures alone (3, 3/2, 2). Type the word `sign` before it, in the music and on the \
     line of a voice."
    "voice Tenor clef C4 sign C/\n  sb D4\n" => "voice Tenor clef C4 sign C|\n  sb D4\n"

    NoSuchReading "E018" "an incomplete reading of time"
    "`ratio 3:2` takes three of any value in the time of two; both numbers are from 1 to 64. \
     `perfect br` and `imperfect br` name a value that has a smaller one."
    "voice Tenor clef C4\n  ratio 3 sb D4 E F\n" => "voice Tenor clef C4\n  ratio 3:2 sb D4 E F\n"

    UnclosedWords "E019" "words without a closing quotation mark"
    "Words in quotes begin and end on the same line of text."
    "voice Tenor clef C4\n  sb D4 \"Prima pars\n  E\n" => "voice Tenor clef C4\n  sb D4 \"Prima pars\"\n  E\n"

    LongRest "E020" "a number of spaces on a rest that is not a longa"
    "`lg _2` and `lg _3` are long rests over two or three spaces. Other rests have only one form; \
     type two of them as `_ _` or `_*2`."
    "voice Tenor clef C4\n  sb _2 D4\n" => "voice Tenor clef C4\n  sb _*2 D4\n"

    PositionOrLetter "E021" "letters among positions, or positions among letters"
    "In a voice marked `positions`, type only places on the staff: 1 is the space below the bottom \
     line, 2 the bottom line, 11 the space above the top line. In every other voice, type only \
     letters. Type a figure that is a sign as `sign 3`."
    "voice Tenor clef C4\n  sb D3 6 7\n" => "voice Tenor clef C4 positions\n  sb 2 6 7\n"

    MusicBeforeVoice "E022" "music before the first voice"
    "Notes belong to a voice. Open one first, on a line of its own: `voice Cantus clef C1`."
    "title A duo\nsb D4 E\nvoice Cantus clef C1\n  sb D4\n" => "title A duo\nvoice Cantus clef C1\n  sb D4 E D4\n"

    MusicOnVoiceLine "E023" "music on the line that opens a voice"
    "The line of `voice` has its name and any of clef, signature, sign, positions and canon; the \
     line of `more` only a name. The music begins on the next line."
    "voice Cantus clef C1 sb D4 E\n" => "voice Cantus clef C1\n  sb D4 E\n"

    CanonUnclear "E024" "a canon that cannot be followed"
    "`voice Comes canon Cantus 5 above after 2` follows the voice Cantus a fifth above, two minims \
     later. The interval is a number from 1 to 15, above or below. The voice that it follows must \
     be written out; the following voice has no music of its own."
    "voice Cantus clef C1\n  br D4 E\nvoice Comes canon Canto 5 below after 2\n" => "voice Cantus clef C1\n  br D4 E\nvoice Comes canon Cantus 5 below after 2\n"

    SubjectUnclear "E025" "a subject that is not there"
    "`subject Cantus 1-8` says that the notes and rests 1 to 8 of Cantus are the subject. The voice \
     must exist, and have that many."
    "subject Cantus 1-8\nvoice Cantus clef C1\n  sb D4 E\n" => "subject Cantus 1-2\nvoice Cantus clef C1\n  sb D4 E\n"

    ObliqueOutside "E026" "an oblique body outside a ligature"
    "\\ joins the two notes beside it into one oblique body. Both must stand in a ligature: `( br D \
     \\ C )`."
    "voice Tenor clef C4\n  br D4 \\ C\n" => "voice Tenor clef C4\n  ( br D4 \\ C )\n"

    SuppliedInPrinted "E027" "something supplied on the printed side of an emendation"
    "What the editor supplies, [ ], is not in the source, so it cannot stand on the side that says \
     what is printed. Put it after the |."
    "voice Tenor clef C4\n  mn D4 < E [ F ] | sb E > D4\n" => "voice Tenor clef C4\n  mn D4 < E | E F > D4\n"

    TooManyVoices "E028" "more voices than a piece may have"
    "A parts file holds one piece of at most 64 voices. Voices after the 64th are ignored. (The \
     example for this one would be long.)"
    "" => ""

    TooLarge "E029" "a file that is too large"
    "A parts file may have 16 MiB, 1000 examples, and 64 KiB that hold for all of them. A piece or \
     example may have 500 000 notes and rests, counted rests one by one (all examples together four \
     times as many), and 500 000 minims, all voices counted as long as the longest of them; the end \
     of a section counts as a breve. What goes beyond is left out. Put each piece into its own \
     file. (The example for this one would be long.)"
    "" => ""

    NotText "E030" "a file that is not text"
    "A parts file is text in UTF-8, and this one has bytes that are not. Save it as UTF-8 in your \
     text editor. (Such a file cannot be shown here.)"
    "" => ""

    NoVoices "E031" "a file without voices"
    "There is nothing to lay out. Type a voice, `voice Cantus clef C1`, and its music on the next \
     line. `cartella new` writes a file to fill in."
    "title A duo\n" => "title A duo\nvoice Cantus clef C1\n  sb D4\n"

    MarkUnclear "E032" "a mark that cannot be drawn"
    "`mark Cantus 3-9 circle blue \"subject\"` marks the notes and rests 3 to 9 of Cantus. The \
     voice must exist, and have that many. The shape is bracket, circle or arrow; the colour is \
     blue, orange, green, red, purple or sky; the words stand in quotes. You may leave out all \
     three."
    "mark Cantus 1-2 circel\nvoice Cantus clef C1\n  sb D4 E\n" => "mark Cantus 1-2 circle\nvoice Cantus clef C1\n  sb D4 E\n"

    FacsimileUnclear "E033" "an unclear place in a picture"
    "`facsimile Tenor 1 tenor.png 1 120 340 1800 150 0` says where the first line of Tenor stands: \
     in tenor.png, on page 1, in a box whose left edge is at 120 and upper edge at 340, 1800 wide \
     and 150 high, in pixels (for a PDF in points), turned clockwise by 0 degrees. With `*` for the \
     voice, the box is a system of all voices, and the line its number. Each line has only one box. \
     Put a file name with a blank in quotes."
    "facsimile Tenor 1 tenor.png\nvoice Tenor clef C4\n  sb D3 E\n" => "facsimile Tenor 1 tenor.png 1 120 340 1800 150 0\nvoice Tenor clef C4\n  sb D3 E\n"

    ExampleName "E034" "an example without a name of its own"
    "A file may hold several examples. `example NAME`, on a line of its own, opens each, with its \
     voices below it. The name is one word of letters, figures, - and _, and no other example of \
     the file has it: files written from the example are named after it."
    "example\nvoice Cantus clef C1\n  sb D4\n" => "example 12-a\nvoice Cantus clef C1\n  sb D4\n"

    HandUnclear "E035" "a hand that plays nothing"
    "`hand left Tenor 3-9` gives the notes and rests 3 to 9 of Tenor to the left hand in the keyboard \
     score; the other hand is `right`. The voice must exist, and have that many. Where two lines name \
     the same note, the later one counts."
    "hand lefft Tenor 1-2\nvoice Tenor clef C4\n  sb D3 E\n" => "hand left Tenor 1-2\nvoice Tenor clef C4\n  sb D3 E\n"

    BreakUnclear "E036" "a break before no bar"
    "`break 12` lets a system of the score begin with bar 12, and `page 12` a page. The bars are \
     counted as the score counts them, and the piece must have that bar. It begins with bar 1 \
     anyway."
    "break 1\nvoice Tenor clef C4\n  br D3 E F\n" => "break 2\nvoice Tenor clef C4\n  br D3 E F\n"

    NoLigature "E037" "notes that cannot be a ligature"
    "In a ligature the value of each note shows in its body, its tail and where the next note stands, so \
     not every row of values can be one. Semibreves stand in it only as a pair, its first two notes; \
     nothing smaller, no rest and no two notes at one place stand in it; an oblique body, \\, holds two \
     notes and ends with a breve or with the second of two semibreves. All other breves, longae and \
     maximae have a shape anywhere. Most likely the ligature ends earlier, or a value is mistyped."
    "voice Tenor clef C4\n  ( br D3 sb E )\n" => "voice Tenor clef C4\n  ( sb D3 E )\n"

    NotTogether "E041" "voices that do not end together"
    "All voices come to their last notes at the same moment, and hold them to the end of the last \
     bar, whatever their values. Here some come too early or too late. If most voices agree, the \
     error names the others; if not, it names all. Look for a value, dot or rest that makes the \
     difference. In a stacked piece the error names the source line after which the sums stay \
     apart. If a voice holds its last note while others still move, type the length of that note: \
     lg D=12."
    "voice Cantus clef C1\n  sb D4 E F lg D\nvoice Tenor clef C4\n  sb D3 C mn D lg D\n" => "voice Cantus clef C1\n  sb D4 E F lg D\nvoice Tenor clef C4\n  sb D3 C D lg D\n"

    NotMeeting "E042" "voices that do not meet at the end of a section"
    "At || and :: all voices meet, as they do at the end of the piece. The error gives the lengths \
     of the section, voice by voice. If voices have different numbers of sections, one || is \
     missing or too many."
    "voice Cantus clef C1\n  sb D4 E F br D || sb D E lg D\nvoice Tenor clef C4\n  sb D3 C mn D br D || sb D C lg D\n" => "voice Cantus clef C1\n  sb D4 E F br D || sb D E lg D\nvoice Tenor clef C4\n  sb D3 C D br D || sb D C lg D\n"

    TimeTooFine "E043" "lengths that cannot be counted exactly together"
    "Time is counted in exact fractions of a minim. The denominators of the lengths and ratios in \
     this piece have no common one up to 1 000 000, or they make the piece many thousand minims \
     longer than its values say. Most likely a number is mistyped. The note or rest is counted with \
     its plain value."
    "voice Cantus clef C1\n  mn D4=1/9973 E=1/9967\n" => "voice Cantus clef C1\n  mn D4=1/3 E=2/3\n"

    Leap "W101" "a leap that is rarely written"
    "Melodies of this repertory leap up to an octave, and avoid the seventh. Most often an octave \
     digit, a letter or the clef is mistyped."
    "voice Cantus clef C1\n  sb D4 E5 D5\n" => "voice Cantus clef C1\n  sb D4 E4 D4\n"

    OutsideClef "W102" "a voice far outside its clef"
    "Clefs were chosen so that a voice stays on its staff. If a note lies beyond the second ledger \
     line, the clef or an octave is probably mistyped."
    "voice Cantus clef C1\n  sb D4 D3 F2 D3\n" => "voice Bassus clef F4\n  sb D3 D3 F2 D3\n"

    DirectDiffers "W103" "a direct that does not announce the next note"
    "The direct at the end of a source line stands at the place of the next note. Here it does not: \
     a note is mistyped, a line is left out, or the print is wrong. This is one of the surest signs \
     of a slip."
    "voice Cantus clef C1\n  sb D4 E ~F / G A\n" => "voice Cantus clef C1\n  sb D4 E ~G / G A\n"

    BarLineOff "W104" "a printed bar line where no bar ends"
    "In a barred print the values between two bar lines make a bar. Here they do not. Look for a \
     wrong value in this bar or before it."
    "layout barred\nvoice Cantus clef C1\n  sb D4 E | mn F G A | sb G F | E D | br D\n" => "layout barred\nvoice Cantus clef C1\n  sb D4 E | sb F mn G A | sb G F | E D | br D\n"

    SectionTaken "W105" "the end of a section taken from the other voices"
    "Some voices have || here and this one does not, but its values reach the same place. So the \
     section ends here too; type || if it is printed."
    "voice Cantus clef C1\n  br D4 D || br D lg D\nvoice Tenor clef C4\n  br D3 D br D lg D\n" => "voice Cantus clef C1\n  br D4 D || br D lg D\nvoice Tenor clef C4\n  br D3 D || br D lg D\n"

    ReadingDivided "W106" "a sign or coloration that is read in more than one way"
    "Practice is divided on this sign, or on black notes in duple time. The common reading is \
     taken; the voices give no reason for another. To decide, type a reading after the sign or \
     before the black group: `ratio 3:2` (three of any value in the time of two) decides the \
     proportion, `perfect br` or `imperfect br` which value holds three."
    "voice Cantus clef C1 sign C\n  sb D4 E sign 3 mn D E F sb G mn F sign C lg D\n" => "voice Cantus clef C1 sign C\n  sb D4 E sign 3 ratio 3:2 mn D E F sb G mn F sign C lg D\n"

    ReadingTaken "W107" "a reading chosen because the voices then meet"
    "Practice is divided on this sign, or on black notes in duple time. Under this reading, but not \
     under the others, the voices come to their last notes together. Check that it is meant. To \
     settle it, type a `ratio`, and `perfect br` or `imperfect br`, after the sign or before the \
     black group."
    "voice Cantus clef C1 sign C\n  sb D4 E sign 3 mn F E D sign C lg D\nvoice Tenor clef C4 sign C\n  sb D3 C mn D lg D\n" => "voice Cantus clef C1 sign C\n  sb D4 E sign 3 ratio 3:1 mn F E D sign C lg D\nvoice Tenor clef C4 sign C\n  sb D3 C mn D lg D\n"

    VariantUndecided "W108" "an undecided variant"
    "<? one reading | the other > keeps both; the first is read. Once you have seen the source, \
     keep one of them, or make it an emendation < printed | read >."
    "voice Cantus clef C1\n  mn D4 <? sm G | mn G > F\n" => "voice Cantus clef C1\n  mn D4 mn G F\n"

    BeyondReach "W109" "a span too wide for one hand"
    "However the voices are given to the hands, the notes of one hand lie further apart here than a \
     ninth, or than --reach says. Leave a note out, or play it an octave away. The head items hand \
     left and hand right share the notes out otherwise."
    "voice Cantus clef C1\n  br D5\nvoice Altus clef C3\n  br F3\nvoice Bassus clef F4\n  br C2\n" => "voice Cantus clef C1\n  br D5\nvoice Altus clef C3\n  br A4\nvoice Bassus clef F4\n  br D3\n"

    HighClefs "W110" "high clefs"
    "The voices are written in the high clefs (G2 at the top, C3, C4 or F3 at the bottom). Such \
     music was commonly sung and played a fourth lower if the signature has a flat, a fifth lower \
     if it has none (Praetorius, Syntagma musicum III, 1619, says so of the clefs; from memory). \
     `score --transpose 4 down` writes it so."
    "voice Cantus clef G2\n  br D5\nvoice Altus clef C2\n  br A4\nvoice Tenor clef C3\n  br D4\nvoice Bassus clef F3\n  br D3\n" => "voice Cantus clef C1\n  br D5\nvoice Altus clef C3\n  br A4\nvoice Tenor clef C4\n  br D4\nvoice Bassus clef F4\n  br D3\n"

    SourceLinesDiffer "W111" "voices of a stacked source with different numbers of lines"
    "In `layout stacked` the lines of all voices break together, so all voices have the same number \
     of / and //. A voice that has fewer may lack a line."
    "layout stacked\nvoice Cantus clef C1\n  br D4 / E / lg D\nvoice Tenor clef C4\n  br D3 C / lg D\n" => "layout stacked\nvoice Cantus clef C1\n  br D4 / E / lg D\nvoice Tenor clef C4\n  br D3 / C / lg D\n"

    NoMusic "W113" "a voice without music"
    "The voice is opened, but has no music. It is left out of the score."
    "voice Cantus clef C1\n  br D4\nvoice Tenor clef C4\n" => "voice Cantus clef C1\n  br D4\nvoice Tenor clef C4\n  br D3\n"

    MissingSign "W114" "a sign of proportion that seems to be missing"
    "The notes from the first to the last named seem to go three in the time of two. There are \
     three possible reasons. Other voices have a sign there, and with it this one would come to its \
     last note together with them. Or no voice has one, and with it all would meet. Or all voices \
     move in threes there, against the beat. Check whether the print has a sign before the first of \
     these notes, and one that ends it after the last."
    "voice Cantus clef C1 sign C\n  sb D4 E sign 3 ratio 3:2 mn D E F E D E sign C sb F lg D\nvoice Tenor clef C4 sign C\n  sb D3 C mn D C D E D C sb D lg D\n" => "voice Cantus clef C1 sign C\n  sb D4 E sign 3 ratio 3:2 mn D E F E D E sign C sb F lg D\nvoice Tenor clef C4 sign C\n  sb D3 C sign 3 ratio 3:2 mn D C D E D C sign C sb D lg D\n"

    LineNotTyped "W115" "a box for a line that is not typed"
    "`facsimile` names a line that the voice does not have, or not yet. Go on typing, with `/` at \
     the end of each line. If the line is typed already, its number is mistyped, or a `/` is \
     missing."
    "facsimile Cantus 2 cantus.png 1 120 340 1800 150 0\nvoice Cantus clef C1\n  sb D4 E\n" => "facsimile Cantus 2 cantus.png 1 120 340 1800 150 0\nvoice Cantus clef C1\n  sb D4 /\n  sb E\n"

    EndsBroken "W116" "a voice that ends within a proportion"
    "The notes of a proportion make up whole values again: three in the time of two, and so on. \
     Here the piece, or a section of it, ends before that, so the last note stands at a fraction of \
     a minim. Since the proportion began, a note or rest is missing or too many; or `ratio 1:1` is \
     missing where plain counting begins again."
    "voice Tenor clef C4\n  sb D3 ratio 3:2 mn D E\n" => "voice Tenor clef C4\n  sb D3 ratio 3:2 mn D E F ratio 1:1 lg G\n"
    BarsOfOthers "W117" "voices under signs with different breves"
    "A bar is as long as the breve, or with `--bar semibreve` the semibreve, of the sign that most \
     voices have; where as many have one as another, of the highest. These voices have another. That \
     may be meant; or a sign is mistyped, or missing."
    "voice Cantus clef C1 sign O\n  br D4 C lg D\nvoice Tenor clef C4 sign C\n  br D3 sb D br C sb C lg D\n" => "voice Cantus clef C1 sign O\n  br D4 C lg D\nvoice Tenor clef C4 sign O\n  br D3 C lg D\n"

    CutShort "W118" "a canon that is cut short"
    "A voice that follows another ends with all others, and here it has not yet come to the last \
     notes of the voice that it follows. If it is meant to end there, type the signum % (or the corona ^) \
     that shows it, at the note with which it ends. If not, the delay is wrong, or something is missing at the \
     end of the voices."
    "voice Dux clef C4\n  sb D3 E F G A G F E lg D\nvoice Comes canon Dux 5 above after 12\n" => "voice Dux clef C4\n  sb D3 E F G A G F E lg D\nvoice Comes canon Dux 5 above after 2\n"

    LoneSignature "W119" "a voice without the signature of the others"
    "One voice has no signature, and all others have the same. Most likely it was left out when the \
     voice was typed. Until about 1530, though, an upper voice often has a flat less than the others."
    "voice Cantus clef C1 signature Bb\n  br D5\nvoice Tenor clef C4\n  br D4\nvoice Bassus clef F4 signature Bb\n  br D3\n" => "voice Cantus clef C1 signature Bb\n  br D5\nvoice Tenor clef C4 signature Bb\n  br D4\nvoice Bassus clef F4 signature Bb\n  br D3\n"
}

impl Code {
    /// Whether it is an error or a warning.
    pub fn severity(self) -> Severity {
        if self.number().starts_with('E') { Severity::Error } else { Severity::Warning }
    }

    /// The code of that number, `E012` or `e012`.
    pub fn from_number(number: &str) -> Option<Code> {
        Code::ALL.iter().copied().find(|code| code.number().eq_ignore_ascii_case(number))
    }
}

impl fmt::Display for Code {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.number())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn codes_are_found_by_their_number() {
        for code in Code::ALL {
            assert_eq!(Code::from_number(code.number()), Some(*code));
        }
        assert_eq!(Code::from_number("e003"), Some(Code::OctaveUndecided));
        assert_eq!(Code::from_number("E999"), None);
    }

    #[test]
    fn numbers_rise() {
        let numbers: Vec<&str> = Code::ALL.iter().map(|code| code.number()).collect();
        assert!(numbers.is_sorted() && numbers.windows(2).all(|pair| pair[0] != pair[1]));
    }
}
