//! Numbers that look random and are the same on every run.

/// `SplitMix64` (Steele, Lea, Flood: "Fast splittable pseudorandom number generators", OOPSLA 2014).
#[derive(Clone, Debug)]
pub struct Random(u64);

impl Random {
    /// The sequence of a seed.
    pub fn new(seed: u64) -> Random {
        Random(seed)
    }

    /// The next number.
    pub fn draw(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// A number below `bound`, which is not zero.
    pub fn below(&mut self, bound: usize) -> usize {
        (self.draw() % bound as u64) as usize
    }

    /// One of several.
    pub fn pick<'a, T>(&mut self, among: &'a [T]) -> Option<&'a T> {
        if among.is_empty() { None } else { Some(&among[self.below(among.len())]) }
    }
}
