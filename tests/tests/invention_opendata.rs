//! Subjects from real duos: what the program says of them is confirmed by brute force.

use cartella::invention::{
    Ending, Entry, Intervals, Part, PartNote, Row, Signed, Subject, Verdict, row, several,
    strict_table, table, write_out,
};
use cartella::{BarLength, Document, Pitch, Time, imitation_parts};
use counterpoint::study::{RuleSet as StudyRules, Severity, judge};
use suite::brute::{Found, Plain, Wrong, wrong};
use suite::slips::{Random, scored};
use suite::{duos, faultless, fixtures, opendata, read_score};

/// How finely times are counted: parts of a minim.
const FINE: i64 = 96;

fn fine(time: Time) -> i64 {
    time.numerator() * FINE / time.denominator()
}

fn plain(pitch: Pitch, at: Time, length: Time) -> Plain {
    let (on, off) = (fine(at), fine(at + length));
    Plain { on, off, steps: pitch.tone.rung(), semitones: pitch.key_number() }
}

/// A voice that sings the subject, with some signs, so many steps higher and so much later.
fn voice(subject: &Subject, steps: i32, delay: Time, signs: &[Signed]) -> Vec<Plain> {
    let notes = subject.notes().iter().map(|note| {
        let signed = signs.iter().find(|sign| sign.note == note.number);
        let pitch = signed.map_or_else(|| subject.answer(*note, steps), |sign| sign.pitch);
        plain(pitch, note.at + delay, note.length)
    });
    notes.collect()
}

/// The subject on a line.
fn shown(subject: &Subject) -> String {
    let notes = subject.notes().iter();
    notes.map(|note| format!("{}:{}@{} ", note.pitch, note.length, note.at)).collect()
}

fn brute(subject: &Subject, row: &Row, signs: &[Signed]) -> Vec<Found> {
    let leader = voice(subject, 0, Time::ZERO, &[]);
    wrong(&leader, &voice(subject, row.entry.steps, row.entry.delay, signs))
}

/// Stretches of four to ten notes of the voices of the duos, at random, with a fixed seed.
fn subjects(count: usize) -> Option<Vec<Subject>> {
    let pieces: Vec<Document> = duos(&opendata()?)
        .into_iter()
        .map(|(name, xml)| Document::parse(read_score(&name, xml.as_bytes(), None)))
        .collect();
    let mut random = Random::new(17);
    let mut found = Vec::new();
    while found.len() < count {
        let example = pieces[random.below(pieces.len())].first();
        let voices = &example.piece().voices;
        let voice = &voices[random.below(voices.len())];
        let events = voice.items.iter().filter_map(|item| item.event()?.index).max().unwrap_or(0);
        let first = 1 + random.below(events.saturating_sub(12).max(1) as usize) as u32;
        let last = first + 3 + random.below(7) as u32;
        if let Ok(subject) = example.subject(&voice.name, first, last)
            && subject.notes().len() > 3
        {
            found.push(subject);
        }
    }
    Some(found)
}

#[test]
fn five_hundred_subjects() {
    let Some(subjects) = subjects(500) else { return };
    let mut counts = [0; 4];
    for subject in &subjects {
        let number =
            |number: u32| subject.notes().iter().position(|note| note.number == number).unwrap();
        for row in table(subject, Intervals::Octave) {
            counts[row.verdict as usize] += 1;
            let found = brute(subject, &row, &row.signs);
            let discords = found.iter().filter(|found| found.0 == Wrong::Discord).count();
            let only_discords = discords == found.len();
            let context = || format!("{} {row:?} {found:?}", shown(subject));
            match row.verdict {
                Verdict::Works => assert!(found.is_empty(), "{}", context()),
                Verdict::Treated | Verdict::Accidental => {
                    assert!(only_discords, "{}", context());
                    assert_eq!(discords, row.treatments.len(), "{}", context());
                }
                Verdict::Fails => {
                    let fault = row.fault.unwrap();
                    let named = [number(fault.at), number(fault.against)];
                    let there = found.iter().any(|(_, _, place)| *place == named);
                    assert!(there, "{}", context());
                }
            }
            if row.verdict == Verdict::Accidental {
                let without = brute(subject, &row, &[]);
                assert!(without.iter().any(|found| found.0 == Wrong::False), "{}", context());
            }
        }
    }
    assert!(counts.iter().all(|count| *count > 500), "{counts:?}");
    insta::assert_snapshot!(format!("works, treated, accidental, fails: {counts:?}"));
}

/// What works without licences has no fault for a study either, but what the subject sings by itself.
#[test]
fn a_study_confirms_what_works() {
    let Some(subjects) = subjects(500) else { return };
    let mut works = 0;
    for subject in &subjects {
        let alone = faults(&[part(subject, None, &[])], subject);
        for row in strict_table(subject, Intervals::Octave) {
            if row.verdict != Verdict::Works {
                continue;
            }
            works += 1;
            let follower = part(subject, Some(row.entry), &row.signs);
            let own = faults(std::slice::from_ref(&follower), subject);
            let parts = [part(subject, None, &[]), follower];
            // The leader's last note is held in the text, and not in the imitation.
            let together = faults(&parts, subject).into_iter();
            let end = upbeat(subject) + subject.length();
            for fault in together.filter(|(_, at)| *at < end) {
                let known = alone.contains(&fault) || own.contains(&fault);
                assert!(known, "{fault:?} {row:?} {}", shown(subject));
            }
        }
    }
    assert!(works > 2000, "{works}");
}

fn part(subject: &Subject, entry: Option<Entry>, signs: &[Signed]) -> Part {
    let Entry { steps, delay } = entry.unwrap_or(Entry { steps: 0, delay: Time::ZERO });
    let notes = subject.notes().iter().map(|note| {
        let signed = signs.iter().find(|sign| sign.note == note.number);
        let pitch = signed.map_or_else(|| subject.answer(*note, steps), |sign| sign.pitch);
        let (at, length) = (note.at + delay, note.length);
        PartNote { pitch, at, length, is_subject: true, is_signed: false }
    });
    Part { entry, notes: notes.collect() }
}

/// How long after the beginning of what is written a subject begins.
fn upbeat(subject: &Subject) -> Time {
    subject.upbeat().within(Time::minims(4))
}

/// The faults that a study finds in written parts: which, and when.
fn faults(parts: &[Part], subject: &Subject) -> Vec<(&'static str, Time)> {
    let (piece, score) = scored(&imitation_parts("A subject", subject, parts));
    let judged = judge(&piece, &score, StudyRules::About1560);
    let faults = judged.findings.iter().filter(|found| found.severity == Severity::Fault);
    faults.map(|found| (found.rule.name(), found.at)).collect()
}

/// What is written out is a parts file without errors, in which the brute force finds nothing wrong but
/// what figures treat.
#[test]
fn what_is_written_out_is_sound() {
    let Some(subjects) = subjects(120) else { return };
    let (mut written, mut asked) = (0, 0);
    for subject in &subjects {
        let rows = table(subject, Intervals::Octave);
        let best = rows.iter().filter(|row| row.verdict == Verdict::Works).take(2);
        for (row, ending) in best.flat_map(|row| [(row, Ending::Open), (row, Ending::Cadence)]) {
            asked += 1;
            let Some(parts) = write_out(subject, &[row.entry], &row.signs, ending) else {
                continue;
            };
            written += 1;
            let text = imitation_parts("A subject", subject, &parts);
            let score = faultless("written out", &text, BarLength::Breve);
            let voices: Vec<Vec<Plain>> = parts
                .iter()
                .map(|part| part.notes.iter().map(|n| plain(n.pitch, n.at, n.length)).collect())
                .collect();
            let found = wrong(&voices[0], &voices[1]);
            let discords = found.iter().filter(|found| found.0 == Wrong::Discord).count();
            assert_eq!(discords, found.len(), "{text}\n{found:?}");
            // The cadence has one at least; free notes are consonant.
            let most = if ending == Ending::Cadence { 8 } else { 4 };
            assert!(discords <= most, "{text}\n{found:?}");
            // All sounds as it was found, up to the final that is held.
            for voice in &score.voices {
                let sounded: Vec<(Time, i32)> = voice
                    .events
                    .iter()
                    .filter_map(|event| {
                        Some((event.onset, event.notes.first()?.pitch.key_number()))
                    })
                    .collect();
                let is_there = parts.iter().any(|part| {
                    let notes = part.notes.iter();
                    let notes = notes.map(|n| (n.at + upbeat(subject), n.pitch.key_number()));
                    notes.eq(sounded.iter().copied())
                });
                assert!(is_there, "{text}");
            }
        }
    }
    insta::assert_snapshot!(format!("{written} of {asked} are written out"));
}

/// Stretches of six notes and rests of every voice of the fixtures.
fn of_fixtures() -> Vec<Subject> {
    let mut found = Vec::new();
    for (_, text) in fixtures() {
        let document = Document::parse(text);
        for example in document.examples() {
            for voice in &example.piece().voices {
                let events = voice.items.iter().filter_map(|item| item.event()?.index).max();
                let firsts = (1..=events.unwrap_or(0).saturating_sub(5)).step_by(3);
                let subjects = firsts.map(|first| example.subject(&voice.name, first, first + 5));
                found.extend(subjects.filter_map(Result::ok));
            }
        }
    }
    found
}

/// A study finds no fault in what is written out without licences, in two voices and in three, but what the
/// subject sings by itself.
#[test]
fn a_study_finds_no_fault_in_what_is_written_out() {
    let Some(random) = subjects(60) else { return };
    let (mut two, mut three) = ([0; 3], 0);
    for subject in of_fixtures().iter().chain(&random) {
        let rows = strict_table(subject, Intervals::Octave);
        for verdict in [Verdict::Works, Verdict::Treated, Verdict::Accidental] {
            for row in rows.iter().filter(|row| row.verdict == verdict).take(3) {
                two[verdict as usize] += written_soundly(subject, &[row.entry], &row.signs);
            }
        }
        for found in several(subject, 3, 1) {
            three += written_soundly(subject, &found.entries, &found.signs);
        }
    }
    assert!(two.iter().all(|count| *count > 200) && three > 100, "{two:?}, {three}");
}

/// All that is offered for a subject of the fixtures, and not only what stands first, is written out without
/// a fault.
#[test]
fn all_that_fixtures_offer_is_sound() {
    let subjects = of_fixtures();
    let mut written = 0;
    for subject in subjects.iter().step_by(9) {
        let rows = strict_table(subject, Intervals::Octave);
        for row in rows.iter().filter(|row| row.verdict != Verdict::Fails) {
            written += written_soundly(subject, &[row.entry], &row.signs);
        }
    }
    assert!(written > 400, "{written}");
}

/// How many ways an imitation is written out, with and without a cadence; each is studied.
fn written_soundly(subject: &Subject, entries: &[Entry], signs: &[Signed]) -> usize {
    let endings = [Ending::Open, Ending::Cadence].into_iter();
    let written = endings.filter_map(|ending| write_out(subject, entries, signs, ending));
    let studied = written.inspect(|parts| {
        let own: Vec<_> = parts.iter().flat_map(|part| faults(&[sung(part)], subject)).collect();
        let found = faults(parts, subject);
        let new: Vec<_> = found.iter().filter(|fault| !own.contains(fault)).collect();
        assert!(new.is_empty(), "{new:?}\n{}", imitation_parts("A subject", subject, parts));
    });
    studied.count()
}

/// What a voice sings of the subject.
fn sung(part: &Part) -> Part {
    let notes = part.notes.iter().filter(|note| note.is_subject).copied();
    Part { entry: part.entry, notes: notes.collect() }
}

/// The mirror of what works in two voices works, with real pitches.
#[test]
fn mirrors_of_real_subjects() {
    let Some(subjects) = subjects(100) else { return };
    for subject in &subjects {
        let flats = subject.signature().fifths();
        if !matches!(flats, Some(0 | -1)) {
            continue;
        }
        let mirrored = subject.mirrored();
        for found in table(subject, Intervals::Octave) {
            if found.verdict == Verdict::Works {
                let entry = cartella::invention::Entry { steps: -found.entry.steps, ..found.entry };
                let there = row(&mirrored, entry).unwrap();
                assert_eq!(there.verdict, Verdict::Works, "{subject:#?} {found:#?} {there:#?}");
            }
        }
    }
}
