//! Arrangements as text, to be looked at: for each bar a line a voice and staff, in which each
//! note or rest shows all that was decided about it.
//!
//! `2.` a dotted half, `r` a rest; the notes with their signs, in `( )` where cautionary, in `[ ]`
//! where the editor's; `~` a tie to the next; `3(` and `)` a tuplet; `<` and `>` the beginning and
//! end of a beam; `^` and the like as they are typed; `u` and `d` the stems.

use std::fmt::Write;

use super::{
    Arrangement, Beam, Manner, NoteValue, Segment, SegmentNote, Shape, ShownAccidental, Stem,
};

/// The whole arrangement.
pub(crate) fn listing(arrangement: &Arrangement<'_>) -> String {
    let mut text = String::new();
    for (bar, arranged) in arrangement.score.bars.iter().zip(&arrangement.bars) {
        let meter = arranged.meter.map_or_else(String::new, |meter| {
            let hidden = if meter.shown { "" } else { " hidden" };
            format!(" {}/{}{hidden}", meter.beats, value(meter.beat))
        });
        let repeat = if arranged.repeat_begins { " |:" } else { "" };
        let _ = writeln!(text, "bar {}{meter}{repeat} {:?}", bar.number, bar.close);
        for staff in 0..arrangement.staves.len() {
            for (voice, segments) in arrangement.score.voices.iter().zip(&arranged.voices) {
                if segments.iter().any(|segment| segment.staff == staff) {
                    let shown: Vec<String> = segments
                        .iter()
                        .map(|s| if s.staff == staff { segment(s) } else { "…".into() })
                        .collect();
                    let _ = writeln!(text, "  {} {:8} {}", staff + 1, voice.name, shown.join(" "));
                }
            }
        }
        for words in &arranged.words {
            let name = &arrangement.score.voices[words.voice].name;
            let _ = writeln!(text, "    {name} at {}: {}", words.at, words.text);
        }
    }
    text
}

fn value(value: NoteValue) -> String {
    match value.power() {
        power @ ..=0 => (1 << -power).to_string(),
        1 => "br".to_string(),
        2 => "lg".to_string(),
        _ => "mx".to_string(),
    }
}

fn segment(segment: &Segment) -> String {
    let mut text = String::new();
    if let Some(tuplet) = segment.tuplet.filter(|tuplet| tuplet.edges.begins) {
        let _ = write!(text, "{}(", tuplet.many);
    }
    match segment.beams.iter().next() {
        Some(Beam::Begins) => text.push('<'),
        Some(Beam::HookForward | Beam::HookBack) => text.push('!'),
        _ => {}
    }
    let shape = match segment.shape {
        Shape::Plain { value: of, dotted } => value(of) + if dotted { "." } else { "" },
        Shape::WholeBar { value: of } => format!("bar{}", value(of)),
        Shape::Unwritten => "?".to_string(),
    };
    let notes: Vec<String> = segment.notes.iter().copied().map(note).collect();
    let stem = match segment.stem {
        _ if segment.is_rest() => "r",
        Stem::Up => "u",
        Stem::Down => "d",
    };
    let _ = write!(text, "{shape}{stem}{}{}", notes.join("+"), segment.signs);
    let marks = [
        (segment.tied_after, "~"),
        (segment.beams.iter().next() == Some(Beam::Ends), ">"),
        (segment.tuplet.is_some_and(|tuplet| tuplet.edges.ends), ")"),
    ];
    text.extend(marks.into_iter().filter(|(there, _)| *there).map(|(_, mark)| mark));
    text
}

fn note(note: SegmentNote) -> String {
    let sign = |ShownAccidental { alteration, manner }: ShownAccidental| {
        let sign = ["bb", "b", "n", "#", "##"][(alteration + 2) as usize];
        match manner {
            Manner::Needed => sign.to_string(),
            Manner::Cautionary => format!("({sign})"),
            Manner::Editorial => format!("[{sign}]"),
        }
    };
    format!("{}{}", note.accidental.map_or_else(String::new, sign), note.pitch.tone)
}
