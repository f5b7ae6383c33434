//! A plain reader of cadences: every goal that any voice may reach, at every moment, tried against
//! what all voices sound on the grid. It is slow, and meant for short pieces.
//!
//! It follows the rules as the books have them (Zarlino, *Istitutioni harmoniche*, 1558, III, ch. 53
//! and 54; from memory), not the program: it looks for the goal first, and backwards from there.

use rudiments::{Step, Time};
use score::{Close, Score, TimedEvent};

use super::told::Told;

/// A note of a voice: when it sounds, how high in steps and in semitones.
#[derive(Clone, Copy, PartialEq, Debug)]
struct Sung {
    from: Time,
    to: Time,
    step: i32,
    key: i32,
    /// How long a minim is where it stands.
    minim: Time,
    corona: bool,
}

/// The voices, rests left out.
struct Grid {
    names: Vec<String>,
    voices: Vec<Vec<Sung>>,
    section_ends: Vec<Time>,
}

fn sung(event: &TimedEvent) -> Option<Sung> {
    let pitch = event.notes.first()?.pitch;
    Some(Sung {
        from: event.onset,
        to: event.end(),
        step: pitch.tone.rung(),
        key: pitch.key_number(),
        minim: Time::minims(1) * event.proportion,
        corona: event.signs.has(notation::NoteSign::Corona),
    })
}

impl Grid {
    fn new(score: &Score) -> Grid {
        let names = score.voices.iter().map(|voice| voice.name.clone()).collect();
        let voices =
            score.voices.iter().map(|voice| voice.events.iter().filter_map(sung).collect());
        let ends = score.bars.iter().filter(|bar| bar.close != Close::Plain).map(|bar| bar.end);
        Grid { names, voices: voices.collect(), section_ends: ends.collect() }
    }

    fn at(&self, voice: usize, time: Time) -> Option<Sung> {
        self.voices[voice].iter().copied().find(|note| note.from <= time && time < note.to)
    }

    /// What a voice sounds until a moment.
    fn before(&self, voice: usize, time: Time) -> Option<Sung> {
        self.voices[voice].iter().copied().find(|note| note.from < time && time <= note.to)
    }

    /// Voices and what they sound at a moment, the lowest first.
    fn chord(&self, time: Time) -> Vec<(usize, Sung)> {
        let all = (0..self.voices.len()).filter_map(|voice| Some((voice, self.at(voice, time)?)));
        let mut all: Vec<_> = all.collect();
        all.sort_by_key(|(_, note)| note.key);
        all
    }

    fn chord_before(&self, time: Time) -> Vec<(usize, Sung)> {
        let all =
            (0..self.voices.len()).filter_map(|voice| Some((voice, self.before(voice, time)?)));
        let mut all: Vec<_> = all.collect();
        all.sort_by_key(|(_, note)| note.key);
        all
    }

    fn onsets(&self) -> Vec<Time> {
        let mut onsets: Vec<Time> = self.voices.iter().flatten().map(|note| note.from).collect();
        onsets.sort_unstable();
        onsets.dedup();
        onsets
    }

    fn final_step(&self) -> i32 {
        let end = self.voices.iter().flatten().map(|note| note.to).max().unwrap_or_default();
        self.chord_before(end).first().map_or(0, |(_, note)| note.step)
    }
}

/// The step of a goal, from C.
fn step_of(told: &Told) -> i32 {
    told.goal.chars().next().and_then(Step::from_letter).map_or(0, |step| step as i32)
}

/// The degree of a step, counted from a goal: 1 is the goal itself.
fn degree(goal: i32, step: i32) -> i32 {
    (step - goal).rem_euclid(7) + 1
}

/// All cadences that are found, in lines.
pub fn read_cadences(score: &Score) -> Vec<String> {
    let grid = Grid::new(score);
    let mut found: Vec<Told> = Vec::new();
    for at in grid.onsets() {
        let mut here: Vec<Told> = Vec::new();
        for voice in 0..grid.voices.len() {
            here.extend(syncopated(&grid, voice, at));
        }
        here.sort_by_key(|told| told.evaded_by.is_some());
        if here.is_empty() {
            here.extend(unsyncopated(&grid, at, false));
        }
        here.truncate(1);
        found.extend(here);
    }
    let end = grid.onsets().last().copied().unwrap_or_default();
    let near = |at: Time| at <= end && end <= at + Time::minims(8);
    if !found.iter().any(|told| near(told.at)) {
        let mut onsets = grid.onsets().into_iter().rev().filter(|at| near(*at));
        found.extend(onsets.find_map(|at| unsyncopated(&grid, at, true)));
    }
    let last_step = grid.final_step();
    for told in &mut found {
        let goal = step_of(told);
        told.degree = degree(last_step, goal);
    }
    if let Some(told) = found.last_mut().filter(|told| told.evaded_by.is_none() && told.at < end) {
        let moves = (grid.chord_before(end)[0].1.step, grid.chord(end)[0].1.step);
        let goal = step_of(told);
        let keeps = grid.chord(end).iter().any(|(_, note)| degree(goal, note.step) == 1);
        if keeps && [-3, 4].contains(&(moves.1 - moves.0)) {
            told.plagal = Some(end);
        }
    }
    found.iter().map(Told::to_string).collect()
}

/// A suspension, seen from the note to which it resolves.
struct Suspended {
    goal: Sung,
    preparation: Time,
    dissonance: Time,
    resolution: Sung,
    ornaments: Vec<&'static str>,
}

/// The suspension whose leading note goes to a moment, or to just before it.
fn suspended(grid: &Grid, voice: usize, at: Time) -> Option<Suspended> {
    let notes = &grid.voices[voice];
    let until = notes.iter().rposition(|note| note.from < at)?;
    // The last note that was a step above one of the notes since, and dissonant on the way.
    for place in (0..until).rev() {
        let held = notes[place];
        let after = &notes[place + 1..=until];
        if after.iter().any(|note| note.step > held.step + 1 || note.step < held.step - 3) {
            return None;
        }
        let again = place.checked_sub(1).map(|before| notes[before]);
        let again = again.filter(|before| before.step == held.step && before.to == held.from);
        let preparation = again.map_or(held.from, |before| before.from);
        let strikes = |time: &Time| {
            (0..grid.voices.len()).filter(|other| *other != voice).any(|other| {
                grid.at(other, *time).is_some_and(|note| {
                    note.from == *time
                        && match degree(held.step, note.step) {
                            2 => true,
                            5 => note.key < held.key && grid.chord(*time)[0].1.step == note.step,
                            _ => false,
                        }
                })
            })
        };
        let from = if again.is_some() { held.from } else { held.from + Time::new(1, 1000) };
        let within = grid.onsets().into_iter().filter(|time| *time >= from && *time < held.to);
        let Some(dissonance) = within.into_iter().find(strikes) else { continue };
        let leads = |note: &&Sung| note.step == held.step - 1;
        let due = dissonance + (dissonance - preparation);
        let resolution = after.iter().filter(leads).rfind(|note| note.from <= due);
        let Some(resolution) = resolution.copied() else { continue };
        let mut ornaments = Vec::new();
        if again.is_some() {
            ornaments.push("restruck");
        }
        let early: Vec<i32> = after
            .iter()
            .filter(|note| note.from < resolution.from)
            .map(|note| note.step - held.step)
            .collect();
        match early.as_slice() {
            [-1] => ornaments.push("anticipated"),
            [-2] => ornaments.push("third-below"),
            [] if resolution.from > held.to => ornaments.push("rest"),
            _ => {}
        }
        let steps: Vec<i32> = after.iter().map(|note| note.step - held.step).collect();
        if steps.windows(3).any(|three| three == [-1, -2, -1]) {
            ornaments.push("turned");
        }
        return Some(Suspended { goal: held, preparation, dissonance, resolution, ornaments });
    }
    None
}

/// The role by which a voice comes to a moment: 't' or 'b', if it reaches the goal.
fn reaches(grid: &Grid, voice: usize, at: Time, goal: Sung) -> Option<char> {
    let to = grid.at(voice, at).filter(|note| note.from == at)?;
    if degree(goal.step, to.step) != 1 {
        return None;
    }
    let mut from = grid.before(voice, at)?;
    // The goal may be anticipated.
    if from.step == to.step && from.to - from.from < from.minim {
        from = grid.before(voice, from.from)?;
    }
    match (degree(goal.step, from.step), to.step - from.step) {
        (2, -1) => Some('t'),
        (5, 3 | -4) => Some('b'),
        _ => None,
    }
}

fn is_consonant(low: Sung, high: Sung) -> bool {
    let (low, high) = if low.key <= high.key { (low, high) } else { (high, low) };
    let semitones = (high.key - low.key) % 12;
    [(0, 0), (2, 3), (2, 4), (4, 7), (5, 8), (5, 9)]
        .contains(&((high.step - low.step) % 7, semitones))
}

fn name_of_level(length: Time, minim: Time) -> &'static str {
    let units = length.numerator() as f64 * minim.denominator() as f64
        / (length.denominator() as f64 * minim.numerator() as f64);
    match units {
        units if units >= 4.0 => "breve",
        units if units >= 2.0 => "semibreve",
        units if units >= 1.0 => "minim",
        _ => "semiminim",
    }
}

fn letter(note: Sung) -> String {
    let step = Step::ALL[note.step.rem_euclid(7) as usize];
    let plain = [0, 2, 4, 5, 7, 9, 11][step as usize];
    let sign = match (note.key - plain).rem_euclid(12) {
        0 => "",
        1 => "#",
        _ => "b",
    };
    format!("{step}{sign}")
}

fn syncopated(grid: &Grid, cantizans: usize, at: Time) -> Option<Told> {
    let Suspended { goal, preparation, dissonance, resolution, mut ornaments } =
        suspended(grid, cantizans, at)?;
    let others: Vec<usize> = (0..grid.voices.len()).filter(|other| *other != cantizans).collect();
    let reaching: Vec<(usize, char)> = others
        .iter()
        .filter_map(|other| Some((*other, reaches(grid, *other, at, goal)?)))
        .collect();
    let own = grid.at(cantizans, at);
    let arrives = own.is_some_and(|own| own.from == at && own.step == goal.step);
    let before = grid.chord_before(at);
    let lowest_before = before.first().map(|(voice, _)| *voice);
    let leading = grid.voices[cantizans]
        .iter()
        .rfind(|note| note.from < at && note.step == goal.step - 1)
        .copied()?;
    let above = grid
        .chord(dissonance)
        .into_iter()
        .map(|(_, note)| note)
        .find(|note| degree(goal.step, note.step) == 2);
    let phrygian = goal.key - leading.key == 2
        && above.is_some_and(|above| (above.key - goal.key).rem_euclid(12) == 1);
    let lowest = grid.chord(at).first().copied();
    let evaded_by = if arrives && !reaching.is_empty() {
        let (voice, low) = lowest?;
        let five =
            before.iter().any(|(other, note)| *other == voice && degree(goal.step, note.step) == 5);
        match degree(goal.step, low.step) {
            1 => None,
            4 if phrygian => None,
            _ if !is_consonant(low, own?) => return None,
            _ if five && lowest_before == Some(voice) => Some("bassizans"),
            _ => Some("entry"),
        }
    } else if arrives {
        let (_, low) = lowest?;
        if !is_consonant(low, own?) {
            return None;
        }
        // The lowest that kept its place from the dissonance on, and leaves it.
        let (voice, role) = before.iter().find_map(|(voice, note)| {
            let was = grid.at(*voice, dissonance)?;
            let leaves =
                grid.at(*voice, at).is_none_or(|next| next.from == at && next.step != note.step);
            let kept = *voice != cantizans && leaves && degree(was.step, note.step) == 1;
            match degree(goal.step, note.step) {
                2 if kept => Some((*voice, "tenorizans")),
                5 if kept && lowest_before == Some(*voice) => Some((*voice, "bassizans")),
                _ => None,
            }
        })?;
        Some(if grid.at(voice, at).is_none() { "rest" } else { role })
    } else if !reaching.is_empty() {
        // A leading note held into the next dissonance goes on with a chain.
        if own.is_some_and(|own| own.from < at || own.step == leading.step) {
            return None;
        }
        let rings = phrygian || goal.key - leading.key == 1;
        let ends =
            grid.at(reaching[0].0, at).is_some_and(|end| grid.section_ends.contains(&end.to));
        match own {
            None => Some("rest"),
            Some(_) if rings || ends => Some("cantizans"),
            Some(_) => return None,
        }
    } else {
        return None;
    };
    let back = grid.before(cantizans, at);
    if arrives && back.is_some_and(|back| back.step == goal.step - 2) {
        ornaments.push("under-third");
    }
    let mut roles = vec![('c', grid.names[cantizans].clone())];
    for role in ['t', 'b', 'a'] {
        let voice = reaching.iter().find(|(_, other)| *other == role).map(|(voice, _)| *voice);
        let does = |voice: &&usize| {
            let (Some(from), to) = (grid.before(**voice, at), grid.at(**voice, at)) else {
                return false;
            };
            let stays = to.is_some_and(|to| to.step == from.step);
            let moves = to.filter(|to| to.from == at).map(|to| to.step - from.step);
            let is_lowest = lowest_before == Some(**voice);
            match (role, degree(goal.step, from.step)) {
                _ if reaching.iter().any(|(other, _)| other == *voice) => false,
                ('t', 2) => !stays,
                ('b', 5) => !stays && is_lowest || moves == Some(7),
                ('a', 5) => stays || moves.is_some_and(|moves| moves < 0) && !is_lowest,
                ('a', 4) => moves == Some(-1),
                _ => false,
            }
        };
        let voice = voice.or_else(|| others.iter().find(does).copied());
        roles.extend(voice.map(|voice| (role, grid.names[voice].clone())));
    }
    let chord = grid.chord(dissonance);
    let low = chord.first()?.1;
    let high = chord.iter().map(|(_, note)| *note).find(|note| degree(low.step, note.step) != 1)?;
    let role = |note: Sung| match degree(goal.step, note.step) {
        1 => Some("cantizans"),
        2 => Some("tenorizans"),
        _ => None,
    };
    let (kind, bass) = match (degree(goal.step, low.step), degree(goal.step, high.step)) {
        (1, 2) => ("second", None),
        (2, 1) => ("seventh", None),
        (5, 1) => ("fourth", Some("bassizans")),
        (5, 2) | (4, 1) => ("fifth", Some("bassizans")),
        (5, _) => ("other", Some("bassizans")),
        _ => ("other", None),
    };
    let below = chord.iter().any(|(_, note)| {
        degree(goal.step, note.step) == 2 && note.key < goal.key && low.step != goal.step
    });
    let numbers = match degree(goal.step, low.step) {
        2 => "7-6",
        5 => "4-3",
        _ if below => "7-6",
        _ => {
            let steps = chord.iter().map(|(_, note)| note.step - goal.step);
            match steps.filter(|steps| *steps > 0 && steps % 7 == 1).min()? {
                1 => "2-3",
                _ => "9-10",
            }
        }
    };
    Some(Told {
        preparation: Some(preparation),
        dissonance: Some(dissonance),
        resolution: resolution.from,
        at,
        goal: letter(goal),
        degree: 0,
        kind,
        pair: Some([bass.or(role(low)), role(high)]),
        numbers: Some(numbers),
        level: name_of_level(at - dissonance, goal.minim),
        roles,
        phrygian,
        evaded_by,
        ornaments,
        plagal: None,
    })
}

fn unsyncopated(grid: &Grid, at: Time, anyhow: bool) -> Option<Told> {
    // A voice ends here: at a section, a corona, or before a rest.
    let ends = |voice: usize| {
        grid.at(voice, at).is_some_and(|note| {
            let next = grid.voices[voice].iter().any(|next| next.from == note.to);
            note.from == at
                && (anyhow || note.corona || !next || grid.section_ends.contains(&note.to))
        })
    };
    let voices: Vec<usize> = (0..grid.voices.len()).filter(|voice| ends(*voice)).collect();
    let low = grid.chord(at).first()?.1;
    for cantizans in &voices {
        let (goal, leading) = (grid.at(*cantizans, at)?, grid.before(*cantizans, at));
        let Some(mut leading) = leading else { continue };
        let mut ornaments = Vec::new();
        if goal.step - leading.step == 2 {
            ornaments.push("under-third");
            leading = grid.before(*cantizans, leading.from).unwrap_or(leading);
        }
        if goal.step - leading.step != 1 {
            continue;
        }
        if degree(goal.step, low.step) != 1 {
            continue;
        }
        let reaching =
            |role: char| voices.iter().find(|voice| reaches(grid, **voice, at, goal) == Some(role));
        let roles = [('c', Some(cantizans)), ('t', reaching('t')), ('b', reaching('b'))];
        let roles: Vec<(char, String)> = roles
            .into_iter()
            .filter_map(|(role, voice)| Some((role, grid.names[*voice?].clone())))
            .collect();
        if roles.len() < 2 {
            continue;
        }
        return Some(Told {
            resolution: leading.from,
            at,
            goal: letter(goal),
            kind: "none",
            level: name_of_level(at - leading.from, leading.minim),
            roles,
            ornaments,
            ..Told::default()
        });
    }
    None
}
