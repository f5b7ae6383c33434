//! Pairs joined: what is found is confirmed by brute force, and pieces that were cut are joined again.

use cartella::invention::join::join as search;
use cartella::invention::{Ending, Entry, PartNote, Quality, write_out};
use cartella::{
    Asked, BarLength, CadenceKind, Document, Joined, KINDS, Meanwhile, Pair, Place, RuleSet, Score,
    Signature, Time, Weight, join, join_model, joined_parts, subject,
};
use suite::brute::{Plain, Wrong, wrong};
use suite::{CLEAN_MADRIGALS, fixtures, madrigal_parts, opendata};

/// The first duo of a fixture, with a cadence, and two stepwise subjects with their answers, without.
fn duos() -> [Pair; 3] {
    let music = "voice Cantus clef C1\n br _ _ sb A4 E5 mn D5. .C5 B4 A4 C5. .B4 A4 B4 C5 sb D5 mn C#5 lg D5\n\
                 voice Altus clef C3\n sb D4 A4 mn G4. .F4 E4 D4 sb F4 mn E4 G4 sb F4 mn D4 C4 sb E4 mn F4 G4 \
                 sb F4 E4 lg D4\n";
    let with_cadence = Document::parse(music).first().pair().unwrap();
    let answered = |line: &str, entry: &str| {
        let subject = subject(line).unwrap();
        let entry = Entry::parse(entry).unwrap();
        let parts = write_out(&subject, &[entry], &[], Ending::Open).unwrap();
        let notes = parts.into_iter().map(|part| part.notes).collect();
        Pair::new(notes, Signature::NONE).unwrap()
    };
    [
        with_cadence,
        answered("sb D4 mn E F sb G", "4 below after 2"),
        answered("sb A4 mn G F sb E", "5 above after 1"),
    ]
}

fn plain(notes: &[PartNote]) -> Vec<Plain> {
    let fine = |time: Time| time.numerator() * (96 / time.denominator());
    let notes = notes.iter().map(|note| Plain {
        on: fine(note.at),
        off: fine(note.at + note.length),
        steps: note.pitch.tone.rung(),
        semitones: note.pitch.key_number(),
    });
    notes.collect()
}

fn sounding(voice: &[Plain], at: i64) -> Option<Plain> {
    voice.iter().copied().find(|note| note.on <= at && at < note.off)
}

fn is_consonant(one: Plain, other: Plain) -> bool {
    let (low, high) = if one.steps <= other.steps { (one, other) } else { (other, one) };
    let steps = high.steps - low.steps;
    let class = (steps % 7, high.semitones - low.semitones - steps / 7 * 12);
    matches!(class, (0, 0) | (2, 3 | 4) | (4, 7) | (5, 8 | 9))
}

/// Whether a dissonance may be one that is treated, by what its notes come from and where they go: one is
/// held and goes a step down, or one comes by step and goes by step or by a third.
fn may_be_treated(voice: &[Plain], place: usize, at: i64) -> bool {
    let note = voice[place];
    let before = place.checked_sub(1).map(|place| voice[place]).filter(|b| b.off == note.on);
    let after = voice.get(place + 1).filter(|after| after.on == note.off);
    let leave = after.map(|after| after.steps - note.steps);
    let come = before.map(|before| note.steps - before.steps);
    let held = note.on < at && leave == Some(-1);
    let struck = note.on == at && come.is_some_and(|come| come.abs() <= 1);
    held || struck && leave.is_some_and(|leave| leave.abs() <= 2)
}

/// Every result: between voices of both pairs there are no parallels and no dissonance without treatment;
/// the entering note is consonant with the lowest; and a study finds no fault in the whole.
#[test]
fn every_result_is_sound() {
    let mut results = 0;
    let duos = duos();
    for (first, second) in [(0, 0), (0, 1), (1, 0), (1, 1), (2, 2), (0, 2)] {
        let [first, second] = [first, second].map(|duo| duos[duo].clone());
        let kinds = KINDS.map(Some).into_iter().chain([None]);
        for cadence in kinds {
            let asked = Asked { cadence, most: 8, ..Asked::default() };
            for joined in join(&first, &second, &asked) {
                results += 1;
                let text = joined_parts("Joined", &[], &joined, &first);
                let document = Document::parse(text.as_str());
                assert!(!document.has_errors(), "{text}");
                let study = document.study(RuleSet::About1560);
                let faults = study.findings.iter().filter(|found| found.severity == Weight::Fault);
                assert_eq!(faults.collect::<Vec<_>>(), Vec::<&_>::new(), "{text}");
                if let (Some(cadence), true) = (cadence, joined.place != Place::End) {
                    assert_eq!(joined.cadence.as_ref().unwrap().kind, cadence, "{text}");
                    assert!(study.cadences.iter().any(|one| one.kind == cadence), "{text}");
                }
                let voices = joined.voices.each_ref().map(|notes| plain(notes));
                for (one, other) in [(0, 2), (0, 3), (1, 2), (1, 3)] {
                    for (kind, at, [first, second]) in wrong(&voices[one], &voices[other]) {
                        let (a, b) = (voices[one][first], voices[other][second]);
                        assert_ne!(kind, Wrong::Parallel, "{at} {text}");
                        let (steps, semitones) = (a.steps - b.steps, a.semitones - b.semitones);
                        let agree = steps % 7 != 0 || semitones % 12 == 0;
                        assert!(agree, "{at}: one step with two signs\n{text}");
                        let low = a.steps.min(b.steps);
                        let under = voices.iter().filter_map(|voice| sounding(voice, at));
                        let covered = under
                            .filter(|note| note.steps < low)
                            .any(|note| is_consonant(note, a) && is_consonant(note, b));
                        let treated = may_be_treated(&voices[one], first, at)
                            || may_be_treated(&voices[other], second, at);
                        assert!(covered || treated, "{kind:?} at {at}: {a:?} {b:?}\n{text}");
                    }
                }
                let entry = plain(&joined.voices.concat());
                let at = joined.at.numerator() * (96 / joined.at.denominator());
                let entering = voices[2..].iter().filter_map(|voice| voice.first());
                let all = entry.iter().filter(|note| note.on <= at && at < note.off);
                let lowest = *all.min_by_key(|note| note.steps).unwrap();
                for note in entering.filter(|note| note.on == at) {
                    assert!(*note == lowest || is_consonant(*note, lowest), "{text}");
                }
            }
        }
    }
    assert!(results > 100, "{results}");
}

/// Each kind of cadence is reached for a rising and a falling subject, above and below.
#[test]
fn all_kinds_of_cadence_are_reached() {
    for rising in [true, false] {
        for above in [true, false] {
            for kind in KINDS {
                // In the fifth the entering voice has a part.
                let place = match kind {
                    CadenceKind::Fifth => Place::OnSemibreve,
                    _ => Place::UponGoal,
                };
                let (_, joined) = join_model(rising, above, kind, place)
                    .unwrap_or_else(|| panic!("{rising} {above} {kind:?}"));
                assert_eq!((joined.above, joined.cadence.unwrap().kind), (above, kind));
            }
            // What enters there above clashes with the suspended note or its resolution; what enters below
            // makes another cadence.
            let none = join_model(rising, above, CadenceKind::Second, Place::OnSemibreve);
            assert_eq!(none, None);
        }
    }
}

/// An example has no false relation where there is one without.
#[test]
fn models_have_no_false_relation_if_it_can_be() {
    let (_, joined) = join_model(false, true, CadenceKind::Seventh, Place::OnSemibreve).unwrap();
    assert!(joined.remarks.iter().all(|(rule, _)| rule.name() != "false-relation"), "{joined:#?}");
}

/// Notes of some voices of a score that begin in a stretch of time.
fn cut(score: &Score, voices: [usize; 2], from: Time, until: Time) -> Option<Pair> {
    let notes = voices.map(|voice| {
        let events = score.voices[voice].events.iter();
        let within = events.filter(|event| from <= event.onset && event.onset < until);
        let sung = within.filter_map(|event| {
            Some(PartNote {
                pitch: event.notes.first()?.pitch,
                at: event.onset,
                length: event.length,
                is_subject: true,
                is_signed: false,
            })
        });
        sung.collect::<Vec<PartNote>>()
    });
    Pair::new(notes.to_vec(), score.voices[voices[0]].signature).ok()
}

/// The faults of two pairs side by side, by a study of the text, that neither has alone.
fn faults(first: &Pair, second: &Pair) -> Vec<String> {
    let [one, two] = first.voices().clone();
    let [three, four] = second.voices().clone();
    let whole = Joined {
        steps: 0,
        quality: Quality::Exact,
        signs: Vec::new(),
        above: false,
        at: second.begin(),
        place: Place::UponGoal,
        makes: None,
        cadence: None,
        meanwhile: Meanwhile::GoesOn,
        bridge: None,
        remarks: Vec::new(),
        voices: [one, two, three, four],
    };
    let document = Document::parse(joined_parts("", &[], &whole, first));
    let aligned = document.score(BarLength::Breve);
    let study = document.study(RuleSet::About1560);
    let faults = study.findings.iter().filter(|found| found.severity == Weight::Fault);
    faults.map(|found| found.sentence(&aligned.score)).collect()
}

/// Whether a second pair is found where it stood.
fn is_joined_again(first: &Pair, second: &Pair) -> bool {
    let asked = Asked { most: 1, reach: 16, ..Asked::default() };
    let there = |joined: &Joined| joined.at == second.begin() && joined.steps == 0;
    !search(first, second, &asked, &there).is_empty()
}

/// The fixture of two duos, cut where the second enters, is joined there again.
#[test]
fn the_fixture_is_joined_again() {
    let (_, text) = fixtures().into_iter().find(|(name, _)| name.contains("two-duos")).unwrap();
    let document = Document::parse(text);
    let aligned = document.score(BarLength::Breve);
    let minims = Time::minims;
    let first = cut(&aligned.score, [0, 1], minims(0), minims(26)).unwrap();
    let second = cut(&aligned.score, [3, 2], minims(24), minims(50)).unwrap();
    assert_eq!(second.begin(), minims(24));
    assert!(is_joined_again(&first, &second));
    // An octave lower, as the second duo stands to the first.
    let asked = Asked { most: 1, ..Asked::default() };
    let found = join(&first, &first, &asked);
    assert_eq!((found[0].at, found[0].steps, found[0].place), (minims(24), -7, Place::UponGoal));
    assert_eq!(first.signature(), Signature::NONE);
}

/// Madrigals, four of their five voices at a time, cut where the second two have entered: they are joined
/// there again, unless the four have a fault without the fifth, which covers their fourths and sevenths. The
/// table has these faults; voices are called there by how high they lie, as pairs are written.
#[test]
fn madrigals_are_joined_again() {
    let Some(opendata) = opendata() else { return };
    let (mut cuts, mut again) = (0, 0);
    let mut others = Vec::new();
    for name in CLEAN_MADRIGALS {
        let document = Document::parse(madrigal_parts(&opendata, name));
        let aligned = document.score(BarLength::Breve);
        let score = &aligned.score;
        let begin = |voice: usize| {
            let sung = score.voices[voice].events.iter().find(|event| !event.notes.is_empty());
            sung.map_or(Time::ZERO, |event| event.onset)
        };
        let voices = score.voices.len();
        let pairs =
            || (0..voices).flat_map(move |one| (one + 1..voices).map(move |two| [one, two]));
        for one in pairs() {
            for two in pairs().filter(|two| two.iter().all(|voice| !one.contains(voice))) {
                let enters = two.map(begin).into_iter().min().unwrap();
                let sings = one.map(begin).into_iter().max().unwrap();
                // Entries are looked for on the minims.
                if sings >= enters || enters.denominator() != 1 {
                    continue;
                }
                let later = |minims: i64| enters + Time::minims(minims);
                let first = cut(score, one, Time::ZERO, later(8));
                let second = cut(score, two, enters, later(24));
                let (Some(first), Some(second)) = (first, second) else { continue };
                cuts += 1;
                if is_joined_again(&first, &second) {
                    again += 1;
                } else {
                    let names = [one, two].map(|pair| pair.map(|v| score.voices[v].name.as_str()));
                    let why = faults(&first, &second);
                    assert!(!why.is_empty(), "{name} {names:?} at {enters}: sound, and not found");
                    let [one, two] = names.map(|pair| pair.join(" and "));
                    let why = why.join("\n    ");
                    others.push(format!("{name}: {two} upon {one} at {enters}\n    {why}"));
                }
            }
        }
    }
    insta::assert_snapshot!(format!(
        "{again} of {cuts} are joined again; the others have faults together:\n{}",
        others.join("\n")
    ));
}
