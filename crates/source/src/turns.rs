//! Voices whose lines take turns down a page, as where they stand in systems.

use rudiments::Clef;

use crate::StaffLine;
use crate::beginnings::{first_clef, most_frequent};

/// How many lines of a hundred have the clef that is usual in their voice at least: where somebody says that there
/// are so many voices, and where nobody does.
pub(crate) const SAID: usize = 80;
pub(crate) const UNSAID: usize = 90;

/// A change of clef more is asked for each so many lines, since one may be misread.
const MISREAD: usize = 8;

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

/// Whether the lines of so many voices take turns: in two systems at least the same clefs come again, and the clef
/// changes from line to line, more often than where voices follow one another (common practice, no source; the
/// bounds are estimates). `fitting` is how many lines of a hundred have the clef of their voice at least.
pub(crate) fn take_turns(lines: &[StaffLine], voices: usize, fitting: usize) -> bool {
    if voices < 2 || lines.len() < 2 * voices || !lines.len().is_multiple_of(voices) {
        return false;
    }
    let clefs: Vec<Option<Clef>> = lines.iter().map(|line| first_clef(&line.row)).collect();
    let turns: Vec<Vec<Clef>> = (0..voices)
        .map(|voice| clefs.iter().skip(voice).step_by(voices).copied().flatten().collect())
        .collect();
    let usual: Vec<Option<Clef>> = turns.iter().map(|clefs| most_frequent(clefs)).collect();
    let fits: Vec<usize> = turns
        .iter()
        .zip(&usual)
        .map(|(clefs, usual)| clefs.iter().filter(|clef| Some(**clef) == *usual).count())
        .collect();
    let systems = lines.len() / voices;
    let changes = clefs.windows(2).filter(|two| two[0] != two[1]).count();
    usual.windows(2).any(|two| two[0] != two[1])
        && fits.iter().all(|fit| 2 * fit > systems)
        && 100 * fits.iter().sum::<usize>() >= fitting * lines.len()
        && changes >= voices + lines.len() / MISREAD
}
