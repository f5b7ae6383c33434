//! How well the scans of the madrigals are read, voice by voice, and how far what is doubtful is wrong; and
//! after what `mend` suggests is typed:
//! `cargo run --release --example readings`, with the weights that ship; or with others: one file, or three,
//! of which the first read the pieces 0, 3, 6 and 9, and so on.

use cartella::Document;
use counterpoint::mend::{mend, retype};
use facsimile::Network;
use notation::{NoteSign, apply, parse};
use score::{BarLength, align, reckon};
use suite::{Likeness, MADRIGALS, likeness, madrigal_parts, opendata, printed_parts, read_scans};

/// What is counted over all voices.
#[derive(Default)]
struct Sum {
    notes: usize,
    right: usize,
    wrong: usize,
    /// Of the notes that are printed, also where the encoding has something else: how many there are, and how many
    /// are right.
    printed: [usize; 2],
    /// Notes and rests that are marked, or not: how many agree, how many do not.
    marked: [usize; 2],
    unmarked: [usize; 2],
    /// Pieces whose voices end together.
    meet: usize,
}

fn main() {
    let Some(opendata) = opendata() else { return };
    let networks: Vec<Network> = std::env::args().skip(1).map(|path| weights(&path)).collect();
    let shipped = Network::shipped();
    let (mut alone, mut together, mut mended) = (Sum::default(), Sum::default(), Sum::default());
    for (number, piece) in MADRIGALS.iter().enumerate() {
        let network = networks.get(number % networks.len().max(1)).unwrap_or(&shipped);
        let encoded = Document::parse(madrigal_parts(&opendata, piece));
        let parts = read_scans(&opendata, piece, network);
        let text =
            |reading: Result<exchange::Reading, source::Unread>| reading.expect("it is read").text;
        let as_one = text(source::read_together(&parts));
        let printed = Document::parse(text(source::read(&printed_parts(&opendata, piece))));
        for (name, sum, text) in [
            ("each by itself", &mut alone, text(source::read(&parts))),
            ("then mended", &mut mended, with_suggestions(as_one.clone())),
            ("all together", &mut together, as_one),
        ] {
            let read = Document::parse(text);
            print!("{piece:24} {name:15}");
            for voice in 0..parts.len() {
                let found = likeness(read.first().piece(), encoded.first().piece(), voice);
                print!(" {:3}/{:3}", found.right, found.notes);
                sum.take(&read, voice, &found);
                let found = likeness(read.first().piece(), printed.first().piece(), voice);
                sum.printed[0] += found.notes;
                sum.printed[1] += found.right;
            }
            let copied = read.first().copied();
            let end = |voice: usize| {
                copied.lines.iter().rfind(|line| line.voice == voice).map(|line| line.total)
            };
            let meet = (1..parts.len()).all(|voice| end(voice) == end(0));
            sum.meet += usize::from(meet);
            println!("{}", if meet { "  all meet" } else { "" });
        }
    }
    for (name, sum) in
        [("each by itself", alone), ("all together", together), ("then mended", mended)]
    {
        sum.print(name);
    }
}

/// A piece with all that `mend` suggests with a half or more typed, one after another, the likeliest first.
fn with_suggestions(mut text: String) -> String {
    // A piece has some hundred notes; what is typed is not suggested again, unless in a circle.
    for _ in 0..100 {
        let parsed = parse(&text);
        let score = align(&parsed.piece, reckon(&parsed.piece), BarLength::Breve).score;
        let suggestions = mend(&text, &parsed.piece, &score);
        let likely = suggestions.iter().find(|suggestion| suggestion.confidence >= 0.5);
        let edits = likely.and_then(|suggestion| retype(&text, &parsed, suggestion));
        match edits {
            Some(edits) => text = apply(&text, &edits),
            None => break,
        }
    }
    text
}

/// Weights as the training writes them, or the style of a print.
fn weights(path: &str) -> Network {
    let bytes = std::fs::read(path).expect("a file of weights");
    Network::of_style(&bytes).unwrap_or_else(|| Network::of(&bytes))
}

impl Sum {
    fn take(&mut self, read: &Document, voice: usize, found: &Likeness) {
        self.notes += found.notes;
        self.right += found.right;
        self.wrong += found.wrong;
        let items = &read.first().piece().voices[voice].items;
        let events = items.iter().filter_map(|item| item.event());
        for (event, agrees) in events.zip(&found.agree) {
            let is_marked = event.signs.has(NoteSign::Doubt);
            (if is_marked { &mut self.marked } else { &mut self.unmarked })
                [usize::from(!agrees)] += 1;
        }
    }

    fn print(&self, name: &str) {
        let Sum { notes, right, wrong, printed, marked, unmarked, meet } = self;
        let percent = |part: usize, of: usize| 100.0 * part as f64 / of.max(1) as f64;
        println!(
            "{name}: {right} of {notes} notes right ({:.2} %), of those that are \
             printed {} of {} ({:.2} %); {wrong} notes and rests wrong; of what is \
             marked {:.0} % is wrong, of the rest {:.1} %, of what is wrong {:.0} % is marked; {meet} pieces meet",
            percent(*right, *notes),
            printed[1],
            printed[0],
            percent(printed[1], printed[0]),
            percent(marked[1], marked[0] + marked[1]),
            percent(unmarked[1], unmarked[0] + unmarked[1]),
            percent(marked[1], marked[1] + unmarked[1]),
        );
    }
}
