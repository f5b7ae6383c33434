//! Voices whose lines take turns down a page, as where they stand in systems.

use rudiments::Clef;

use crate::StaffLine;
use crate::beginnings::first_clef;

/// By how much more often, of a hundred times, the clef comes again after as many lines as there are voices than
/// after one: where somebody says how many voices there are, and where nobody does.
pub(crate) const SAID: i32 = 30;
pub(crate) const UNSAID: i32 = 50;

/// Parts lines among so many voices that take turns, the first having the first line; nothing where they do not
/// come out even.
pub fn in_turn(lines: Vec<StaffLine>, voices: usize) -> Option<Vec<Vec<StaffLine>>> {
    if voices == 0 || lines.is_empty() || !lines.len().is_multiple_of(voices) {
        return None;
    }
    let mut parted = vec![Vec::new(); voices];
    for (at, line) in lines.into_iter().enumerate() {
        parted[at % voices].push(line);
    }
    for voice in &mut parted {
        // Where it goes on, it does so on another page.
        if let Some(last) = voice.last_mut() {
            last.ends_page = true;
        }
    }
    Some(parted)
}

/// Whether the lines of so many voices take turns, in two systems at least: the clef of a line comes again in the
/// next system more often than in the next line, by so many times of a hundred (common practice, no source; the
/// bounds are estimates). Where voices follow one another, it is the other way round.
pub(crate) fn take_turns(lines: &[StaffLine], voices: usize, more: i32) -> bool {
    if voices < 2 || lines.len() < 2 * voices || !lines.len().is_multiple_of(voices) {
        return false;
    }
    let clefs: Vec<Option<Clef>> = lines.iter().map(|line| first_clef(&line.row)).collect();
    let again = |after: usize| {
        let pairs = clefs.iter().zip(&clefs[after..]);
        let same = pairs.filter(|(one, other)| one.is_some() && one == other).count();
        100 * same as i32 / (clefs.len() - after) as i32
    };
    again(voices) >= again(1) + more
}
