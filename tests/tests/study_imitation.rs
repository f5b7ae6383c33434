//! Subjects, entries and canons against music that was made so that it is known what is in it.

use counterpoint::study::imitation::{Entry, Follower, Form, Imitations};
use rudiments::{Time, Tone};
use suite::imitating::imitated;
use suite::melodies::{
    Sung, duration, inverted, real_melodies, replaced, scaled, stretch, transposed, typed,
};
use suite::opendata;
use suite::slips::Random;

/// A subject and where it was planted.
struct Planted {
    /// Voice, onset, form, and whether its first note has another value.
    entries: Vec<(usize, Time, Form)>,
    notes: usize,
    text: String,
}

const MINIM: Time = Time::minims(1);

/// The beginnings of phrases: notes after a rest or at the beginning, so many without a rest and
/// with four different steps at least.
fn phrases(voice: &[Sung], notes: usize) -> Vec<Vec<Sung>> {
    let mut found = Vec::new();
    for (place, _) in voice.iter().enumerate() {
        let after_rest = place == 0 || voice[place - 1].pitch.is_none();
        let Some(phrase) = voice.get(place..place + notes) else { break };
        let mut tones: Vec<Tone> =
            phrase.iter().filter_map(|note| Some(note.pitch?.tone)).collect();
        if after_rest && tones.len() == notes {
            tones.dedup();
            let moves = tones.len();
            tones.sort();
            tones.dedup();
            if tones.len() >= 4 && moves + 1 >= notes {
                found.push(phrase.to_vec());
            }
        }
    }
    found
}

/// Voices of pieces that have nothing to do with one another, forty breves long, with four entries
/// of a subject of yet another piece. Nothing is imitated in them but what is planted.
fn planted(material: &[(String, Vec<Vec<Sung>>)], random: &mut Random) -> Option<Planted> {
    let mut pieces: Vec<usize> = (0..material.len()).collect();
    let mut draw = || pieces.swap_remove(random.below(pieces.len()));
    let drawn: Vec<usize> = (0..5).map(|_| draw()).collect();
    let length = Time::minims(160);
    let mut voices: Vec<Vec<Sung>> = Vec::new();
    for piece in &drawn[..4] {
        let voice = random.pick(&material[*piece].1)?;
        voices.push(stretch(voice, Time::ZERO, length));
    }
    let notes = 6 + random.below(4);
    let of_piece: Vec<Vec<Sung>> =
        material[drawn[4]].1.iter().flat_map(|voice| phrases(voice, notes)).collect();
    let subject = random.pick(&of_piece)?.clone();
    let varied = random.below(4);
    let mut at = Time::minims(8 + random.below(8) as i64 * 2);
    let mut entries = Vec::new();
    let delay = Time::minims(2 + random.below(7) as i64 * 2);
    let count = 2 + random.below(3);
    for (number, voice) in voices.iter_mut().enumerate().take(count) {
        let steps = [0, 4, -3, 7, -4, 3, -7][random.below(7)];
        let mut own = transposed(&subject, if number == 0 { 0 } else { steps });
        let mut form = Form::Direct;
        if number + 1 == count {
            match varied {
                0 => {
                    own = inverted(&subject, subject[0].pitch?.tone);
                    form = Form::Inverted;
                }
                1 => {
                    own = scaled(&subject, 2, 1);
                    form = Form::Augmented;
                }
                2 => own[0].length = own[0].length * 2,
                _ => own[0].length = own[0].length.half(),
            }
        }
        let rest = if std::env::var("NOREST").is_ok() { Time::ZERO } else { MINIM * 2 };
        let mut with = vec![Sung::rest(rest)];
        with.retain(|n| n.length.is_positive());
        with.extend(own);
        *voice = replaced(voice, at - rest, &with);
        entries.push((number, at, form));
        at = at + delay;
    }
    let longest = voices.iter().map(|voice| duration(voice)).max()?;
    for voice in &mut voices {
        *voice = stretch(voice, Time::ZERO, longest);
    }
    Some(Planted { entries, notes, text: typed(&voices) })
}

fn is_planted(entry: &Entry, planted: &Planted) -> bool {
    planted.entries.iter().any(|(voice, at, _)| entry.first.voice == *voice && entry.onset == *at)
}

#[test]
fn calibrate() {
    let Some(opendata) = opendata() else { return };
    let material = real_melodies(&opendata);
    let mut random = Random::new(16);
    let (mut sown, mut found_them, mut right_form, mut falsely, mut long) = (0, 0, 0, 0, 0);
    let mut missed = [0; 4];
    for trial in 0..200 {
        let Some(planted) = planted(&material, &mut random) else { continue };
        let (_, found) = imitated(&planted.text);
        for (number, (voice, at, form)) in planted.entries.iter().enumerate() {
            sown += 1;
            let entry = found
                .entries
                .iter()
                .find(|entry| entry.first.voice == *voice && entry.onset == *at);
            match entry {
                Some(entry) => {
                    found_them += 1;
                    right_form += usize::from(entry.form == *form);
                    long += usize::from(entry.notes == planted.notes);
                }
                None => {
                    missed[number] += 1;
                    if std::env::var("MISSED").is_ok() {
                        println!(
                            "trial {trial} missed {number} of {} {form:?} notes {} delay {}",
                            planted.entries.len(),
                            planted.notes,
                            planted.entries[1].1 - planted.entries[0].1
                        );
                    }
                }
            }
        }
        if std::env::var("PRINT").is_ok_and(|t| t == trial.to_string()) {
            println!("{}", planted.text);
        }
        let wrong: Vec<&Entry> =
            found.entries.iter().filter(|entry| !is_planted(entry, &planted)).collect();
        falsely += wrong.len();
        if std::env::var("FALSE").is_ok() {
            for entry in &wrong {
                let subject = &found.subjects[entry.subject];
                let of_planted =
                    subject.entries.iter().any(|e| is_planted(&found.entries[*e], &planted));
                println!(
                    "trial {trial} S{} of_planted {of_planted} {:?} notes {} {:?} {:?} delay {:?} steps {:?} {:?}",
                    entry.subject + 1,
                    subject.shape,
                    entry.notes,
                    entry.form,
                    entry.quality,
                    entry.model.map(|m| m.delay.to_string()),
                    entry.model.map(|m| m.steps),
                    entry.freedoms
                );
            }
        }
        if std::env::var("SHOW").is_ok_and(|shown| shown.split(',').any(|t| t == trial.to_string()))
        {
            println!(
                "trial {trial} {:?}\n{}",
                planted.entries,
                suite::imitating::listing(&planted.text)
            );
        }
    }
    println!(
        "{sown} planted, {found_them} found, {right_form} form, {long} length, {falsely} false, missed {missed:?}"
    );
}

/// A canon that was made: where its follower enters, and in which form.
struct Made {
    steps: i32,
    delay: Time,
    form: Form,
    text: String,
    notes: usize,
    length: Time,
}

/// A real melody as dux, and the same at a random interval after a random delay as comes, above or
/// below it in the file, sometimes over a voice of another piece; the comes ends with the dux.
fn canon(material: &[(String, Vec<Vec<Sung>>)], random: &mut Random, form: Form) -> Option<Made> {
    let piece = random.below(material.len());
    let dux = random.pick(&material[piece].1)?.clone();
    let first = dux.iter().find_map(|note| note.pitch)?.tone;
    let steps = random.below(23) as i32 - 11;
    let delay = Time::minims(1 + random.below(32) as i64);
    let rests: Vec<Sung> = dux.iter().take_while(|note| note.pitch.is_none()).copied().collect();
    let own = match form {
        Form::Direct | Form::Diminished => transposed(&dux, steps),
        Form::Inverted => transposed(&inverted(&dux, first), steps),
        Form::Augmented => {
            let mut own = rests.clone();
            own.extend(scaled(&transposed(&dux[rests.len()..], steps), 2, 1));
            own
        }
    };
    let mut comes = vec![Sung::rest(delay)];
    comes.extend(own);
    let length = duration(&dux);
    let comes = stretch(&comes, Time::ZERO, length);
    // Of another piece: some of the duos are canons.
    let other = (piece + 1 + random.below(material.len() - 1)) % material.len();
    let free = random.pick(&material[other].1)?.clone();
    let notes = comes.iter().filter(|note| note.pitch.is_some()).count();
    let mut voices = if random.below(2) == 0 { vec![dux, comes] } else { vec![comes, dux] };
    if random.below(2) == 0 {
        voices.push(stretch(&free, Time::ZERO, length));
    }
    Some(Made { notes, length, steps, delay, form, text: typed(&voices) })
}

#[test]
fn canons_are_found_whole() {
    let Some(opendata) = opendata() else { return };
    let material = real_melodies(&opendata);
    let mut random = Random::new(1582);
    for form in [Form::Direct, Form::Inverted, Form::Augmented] {
        for trial in 0..150 {
            let Some(made) = canon(&material, &mut random, form) else { continue };
            let (_, found) = imitated(&made.text);
            let said: Vec<(i32, Time, Form)> = found
                .canons
                .iter()
                .flat_map(|canon| &canon.followers)
                .map(|follower| (follower.steps, follower.delay, follower.form))
                .collect();
            if said != [(made.steps, made.delay, made.form)] {
                println!(
                    "WRONG {form:?} {trial}: {said:?} made {} {} notes {:?} of {}",
                    made.steps, made.delay, made.notes, made.length
                );
            }
        }
    }
}
