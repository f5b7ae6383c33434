//! Editorial accidentals, on the madrigals of the open data with all printed signs hidden: what is
//! proposed, against the signs of the print together with those of the modern edition.

use std::collections::{BTreeMap, HashMap, HashSet};

use counterpoint::EventId;
use counterpoint::study::accidentals::{self, AccidentalReason, ProposedAccidental};
use counterpoint::study::cadences;
use notation::{ItemKind, Piece, Sound};
use num_rational::Ratio;
use rudiments::Accidental;
use score::{BarLength, Score, align, reckon};
use suite::{
    MADRIGALS, PARTS, SIGNED, SoundingNote, madrigal, madrigal_parts, match_voices, opendata,
    sounding, sounding_voices, with_signs,
};

/// A piece without its printed accidentals.
fn hidden(piece: &Piece) -> Piece {
    let mut piece = piece.clone();
    for item in piece.voices.iter_mut().flat_map(|voice| &mut voice.items) {
        if let ItemKind::Event(event) = &mut item.kind
            && let Sound::Notes(notes) = &mut event.sound
        {
            for note in notes {
                note.printed = None;
            }
        }
    }
    piece
}

/// A piece as it sounds with its signs, and what is proposed where they are hidden.
struct Case {
    signed: Score,
    /// For every note by how many semitones signs alter it: those of the print, or the edition's.
    truth: HashMap<EventId, i8>,
    /// How many signs are printed.
    printed: usize,
    /// The notes at which the edition has a sign of its own.
    editors: HashSet<EventId>,
    /// The leading notes of the piece as it is printed.
    leading: HashSet<EventId>,
    proposed: Vec<ProposedAccidental>,
}

fn scored(piece: &Piece) -> Score {
    align(piece, reckon(piece), BarLength::Breve).score
}

fn case(opendata: &std::path::Path, name: &str) -> Case {
    let signs = SIGNED.iter().find(|(signed, _)| *signed == name).map_or(&[][..], |(_, s)| *s);
    let text = with_signs(&madrigal_parts(opendata, name), signs);
    let piece = notation::parse(&text).piece;
    let signed = scored(&piece);
    let bare = hidden(&piece);
    let score = scored(&bare);
    let found = cadences::of(&bare, &score);
    let proposed = accidentals::of(&bare, &score, &found);
    let leading = cadences::of(&piece, &signed)
        .iter()
        .filter(|cadence| !cadence.phrygian)
        .flat_map(|cadence| cadence.leading.clone())
        .collect();
    let mut case = Case {
        truth: HashMap::new(),
        printed: 0,
        editors: HashSet::new(),
        leading,
        proposed,
        signed,
    };
    read_truth(&mut case, &score, &madrigal(opendata, name, "edition.musicxml"));
    case
}

/// Reads what alters each note: signs of the print and, where the edition has a note at the same
/// place, its own.
fn read_truth(case: &mut Case, bare: &Score, edition: &str) {
    let edition: Vec<Vec<SoundingNote>> =
        sounding_voices(edition).into_iter().map(|voice| voice.notes).collect();
    let matches = match_voices(&sounding(&case.signed), &edition);
    for (voice, timed) in case.signed.voices.iter().enumerate() {
        let twins: HashMap<(Ratio<i64>, char, i32), &SoundingNote> = edition[matches[voice].other]
            .iter()
            .map(|note| ((note.onset, note.step, note.octave), note))
            .collect();
        for (number, event) in timed.events.iter().enumerate() {
            let Some(note) = event.notes.first() else { continue };
            let id = EventId { voice, event: number };
            let plain = bare.voices[voice].events[number].notes[0].pitch.alteration;
            let tone = note.pitch.tone;
            let onset = Ratio::new(event.onset.numerator() * 2, event.onset.denominator());
            let twin = twins.get(&(onset, tone.step.letter(), i32::from(tone.octave)));
            case.printed += usize::from(note.printed.is_some());
            case.editors.extend(twin.filter(|twin| twin.editorial).map(|_| id));
            // In the edition a sign holds to the end of its bar, so the turns of a cadence have it too.
            let signed = note.pitch.alteration - plain;
            let by =
                if signed == 0 { twin.map_or(0, |twin| twin.alter as i8 - plain) } else { signed };
            case.truth.insert(id, by);
        }
    }
}

impl Case {
    fn by(&self, id: EventId) -> i8 {
        self.truth.get(&id).copied().unwrap_or(0)
    }

    fn steps(&self, id: EventId, to: usize) -> Option<i32> {
        let events = &self.signed.voices[id.voice].events;
        let tone = |event: usize| Some(events.get(event)?.notes.first()?.pitch.tone);
        Some(tone(to)?.steps_above(tone(id.event)?))
    }

    /// The kind of a sign, by where it stands. A cadence is what is found with all signs in place.
    fn kind(&self, id: EventId) -> &'static str {
        let before = id.event.checked_sub(1);
        let come = before.and_then(|before| self.steps(id, before));
        let leave = self.steps(id, id.event + 1);
        let again = before.is_some_and(|event| self.by(EventId { event, ..id }) == self.by(id));
        let event = &self.signed.voices[id.voice].events[id.event];
        let is_end = self.signed.bars.iter().any(|bar| {
            bar.close != score::Close::Plain && event.end() == bar.end && event.onset < bar.end
        });
        match self.by(id) {
            _ if self.leading.contains(&id) => "cadence",
            _ if come == Some(0) && again => "repeated",
            _ if is_end => "end",
            1.. => "other sharp",
            _ if come == Some(-1) && leave == Some(-1) => "fa above la",
            _ if self.is_near_tritone(id) => "tritone",
            _ => "other flat",
        }
    }

    /// Whether the note without its flat makes a tritone with one of the four around it.
    fn is_near_tritone(&self, id: EventId) -> bool {
        let near = id.event.saturating_sub(3)..id.event + 4;
        near.into_iter().any(|event| matches!(self.steps(id, event), Some(-3 | 4)))
    }
}

#[derive(Default)]
struct Rate {
    all: usize,
    good: usize,
}

impl Rate {
    fn add(&mut self, good: bool) {
        self.all += 1;
        self.good += usize::from(good);
    }

    fn percent(&self) -> usize {
        (self.good * 100).checked_div(self.all).unwrap_or(100)
    }

    fn print(&self) -> String {
        format!("{:>4} of {:>4} {:>3} %", self.good, self.all, self.percent())
    }
}

/// By every second madrigal it was chosen how far back a natural is remembered; the others only check.
fn is_tuned_on(name: &str) -> bool {
    MADRIGALS.iter().position(|of| *of == name).is_some_and(|place| place % 2 == 0)
}

/// How many signs the parts have, counted in their text.
fn signs_of_parts(opendata: &std::path::Path, name: &str) -> usize {
    PARTS
        .iter()
        .map(|part| madrigal(opendata, name, &format!("{part}.mei")).matches("<accid ").count())
        .sum()
}

#[test]
fn hidden_signs_are_proposed_anew() {
    let Some(opendata) = opendata() else { return };
    let mut precision: BTreeMap<(AccidentalReason, bool), Rate> = BTreeMap::new();
    let mut recall: BTreeMap<&str, [Rate; 2]> = BTreeMap::new();
    let (mut printed, mut editors) = (0, 0);
    let mut wrong = String::new();
    // At cadences, of the madrigals tuned on and of the others: right of the certain, certain of all.
    let mut at_cadences: [[Rate; 2]; 2] = Default::default();
    for name in MADRIGALS {
        let case = case(&opendata, name);
        assert_eq!(case.printed, signs_of_parts(&opendata, name), "every printed sign is counted");
        let [right, heard] = &mut at_cadences[usize::from(!is_tuned_on(name))];
        printed += case.printed;
        editors += case.editors.len();
        let mut given: HashMap<EventId, (i8, bool)> = HashMap::new();
        for one in &case.proposed {
            let by = if one.sign == Accidental::Sharp { 1 } else { -1 };
            given.insert(one.event, (by, one.is_certain()));
            let good = case.by(one.event) == by;
            precision.entry((one.reason, one.is_certain())).or_default().add(good);
            if (one.reason, one.is_certain()) == (AccidentalReason::Cadence, true) {
                right.add(good);
            }
            if !good && one.is_certain() {
                wrong += &format!("{name} {}\n", one.sentence(&case.signed));
            }
        }
        for (id, by) in &case.truth {
            if *by == 0 {
                continue;
            }
            let found = given.get(id).filter(|(given, _)| given == by);
            let [certain, all] = recall.entry(case.kind(*id)).or_default();
            let is_certain = found.is_some_and(|(_, certain)| *certain);
            certain.add(is_certain);
            if case.kind(*id) == "cadence" {
                heard.add(is_certain);
            }
            all.add(found.is_some());
        }
    }
    let mut table =
        format!("signs printed: {printed}; the edition's own: {editors}\n\nproposed, and right\n");
    for ((reason, certain), rate) in &precision {
        let certain = if *certain { "certain" } else { "possible" };
        table += &format!("{:42} {certain:9} {}\n", reason.name(), rate.print());
    }
    table += "\nthere, and proposed         certain               at all\n";
    for (kind, [certain, all]) in &recall {
        table += &format!("{kind:20} {}   {}\n", certain.print(), all.print());
    }
    table += "\nat cadences       certain, and right    there, and certain\n";
    for (of, [right, heard]) in ["tuned on", "only checked"].iter().zip(&at_cadences) {
        table += &format!("{of:14} {}   {}\n", right.print(), heard.print());
    }
    table += &format!("\ncertain, and neither in the print nor in the edition\n{wrong}");
    insta::assert_snapshot!(table);
    let cadence = &precision[&(AccidentalReason::Cadence, true)];
    assert!(cadence.percent() >= 80, "{}", cadence.print());
    assert!(recall["cadence"][0].percent() >= 80, "{}", recall["cadence"][0].print());
}
