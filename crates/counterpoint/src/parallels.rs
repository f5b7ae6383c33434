//! Parallel fifths and octaves: two voices that move together from one perfect consonance to
//! another of its kind (forbidden by all; Zarlino, *Istitutioni harmoniche*, 1558, III, ch. 29;
//! Fux, *Gradus ad Parnassum*, 1725, I; both from memory).

use crate::sonority::Interval;
use crate::texture::Note;

/// Whether two notes that are struck together come in parallel from the same perfect consonance:
/// 0 for octaves, 1 for fifths.
pub(crate) fn parallel(one: &Note, other: &Note, interval: Interval) -> Option<usize> {
    let kind = match interval {
        Interval::Octave => 0,
        Interval::Fifth => 1,
        _ => return None,
    };
    let together = matches!((one.come, other.come), (Some(a), Some(b)) if a == b && a != 0);
    together.then_some(kind)
}

#[cfg(test)]
mod tests {
    use notation::parse;
    use score::{BarLength, align, reckon};

    use super::*;
    use crate::texture::Texture;

    /// The parallels of two voices note against note.
    fn parallels(upper: &str, lower: &str) -> Vec<Option<usize>> {
        let text = format!("voice A clef C1\n mn {upper}\nvoice B clef C4\n mn {lower}\n");
        let piece = parse(&text).piece;
        let score = align(&piece, reckon(&piece), BarLength::Breve).score;
        let texture = Texture::new(&piece, &score);
        let [one, other] = [0, 1].map(|line: usize| &texture.lines[line].notes);
        one.iter()
            .zip(other)
            .filter_map(|(one, other)| {
                let interval = Interval::of(one.pitch?, other.pitch?, true);
                Some(parallel(one, other, interval))
            })
            .collect()
    }

    /// Zarlino, *Istitutioni harmoniche*, 1558, III, ch. 29: not two fifths, not two octaves in a
    /// row (from memory).
    #[test]
    fn fifths_and_octaves_that_move_together() {
        assert_eq!(parallels("A4 B4", "D4 E4"), [None, Some(1)]);
        assert_eq!(parallels("D5 E5", "D4 E4"), [None, Some(0)]);
        assert_eq!(parallels("A4 A4", "D4 D4"), [None, None]);
        assert_eq!(parallels("A4 D5", "D4 G3"), [None, None]);
        assert_eq!(parallels("F4 G4", "D4 E4"), [None, None]);
    }
}
