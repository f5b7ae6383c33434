//! The rule of moves: which melodic moves an interval and delay allow.
//!
//! The follower sings now what the leader sang some notes ago. So they are apart by the interval of
//! imitation, less how far the leader has moved in these notes; that must be a consonance. Two perfect
//! consonances of a kind run in one direction exactly where the leader repeats the move that it made so
//! many notes ago and the meeting is perfect. (The first half is a rule of thumb of improvised canon;
//! both follow from the rule of consonance, and a test derives them by brute force.)

/// A melodic move, or the sum of several.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Move {
    /// Staff steps, up positive.
    pub steps: i32,
    /// The interval that the voices then make, as its number within an octave: 1, 3, 5, 6; 8 where they
    /// are octaves apart.
    pub makes: u32,
    /// Whether no parallels arise if the move that was made when the follower's note was sung comes again.
    pub may_repeat: bool,
}

/// The moves of at most an octave that a follower so many steps above (below if negative) allows, from
/// the lowest to the highest: single ones where it follows after one note, sums of as many where it
/// follows after several. The seventh is not sung (Zarlino III, ch. 37; from memory).
pub fn moves(steps: i32) -> Vec<Move> {
    let sung = (-7..=7).filter(|steps: &i32| steps.abs() != 6);
    sung.filter_map(|moved| {
        let apart = (steps - moved).abs();
        let makes = match apart % 7 {
            0 if apart == 0 => 1,
            0 => 8,
            2 => 3,
            4 => 5,
            5 => 6,
            _ => return None,
        };
        let may_repeat = moved == 0 || !matches!(makes, 1 | 5 | 8);
        Some(Move { steps: moved, makes, may_repeat })
    })
    .collect()
}
