//! How many voices sound where.

use rudiments::Time;
use score::Plan;

use super::About;
use super::words::counted;

/// So many stretches are told; where there are more, only the fewest and the most.
const MOST_TOLD: usize = 8;

/// Bars in which nearly as many voices sound.
struct Stretch {
    from: u32,
    to: u32,
    least: usize,
    most: usize,
}

impl Stretch {
    /// Whether a bar with so many voices goes with it: a voice more or less is no other texture.
    fn can_have(&self, count: usize) -> bool {
        self.most.max(count) - self.least.min(count) <= 1
    }

    fn take(&mut self, bar: u32, count: usize) {
        self.to = bar;
        (self.least, self.most) = (self.least.min(count), self.most.max(count));
    }
}

/// `2 voices in bars 1–12, 3 or 4 voices in bars 13–20`: of each bar, how many sound for most of it.
pub(super) fn texture(about: &About<'_>) -> String {
    let plan = Plan::of(about.score);
    let texture = plan.texture();
    let mut of_bars: Vec<(u32, usize)> = Vec::with_capacity(plan.bars.len());
    let mut at = 0;
    for (place, bar) in plan.bars.iter().enumerate() {
        let end = plan.bars.get(place + 1).map_or(plan.length, |next| next.start);
        while texture.get(at + 1).is_some_and(|next| next.0 <= bar.start) {
            at += 1;
        }
        let mut lasting = vec![Time::ZERO; about.score.voices.len() + 1];
        let ends = texture[at + 1..].iter().map(|next| next.0).chain([plan.length]);
        let sounding = texture[at..].iter().zip(ends).take_while(|((from, _), _)| *from < end);
        for ((from, count), to) in sounding {
            lasting[*count] += to.min(end) - (*from).max(bar.start);
        }
        let counts = lasting.iter().enumerate();
        // Of two that last as long, the fewer: a last note that is held is no texture.
        let most = counts.max_by_key(|(count, time)| (**time, std::cmp::Reverse(*count)));
        of_bars.push((bar.number, most.map_or(0, |(count, _)| count)));
    }
    let mut stretches: Vec<Stretch> = Vec::new();
    for (bar, count) in &of_bars {
        match stretches.last_mut() {
            Some(last) if last.can_have(*count) => last.take(*bar, *count),
            _ => stretches.push(Stretch { from: *bar, to: *bar, least: *count, most: *count }),
        }
    }
    let bars = |from: u32, to: u32| {
        if from == to { format!("bar {from}") } else { format!("bars {from}\u{2013}{to}") }
    };
    if stretches.len() <= MOST_TOLD {
        let told = stretches.iter().map(|Stretch { from, to, least, most }| {
            let voices = match (least, most) {
                (0, 0) => "all rest".to_owned(),
                (0, 1) => "1 voice or none".to_owned(),
                (least, most) if least == most => counted(*most, "voice"),
                _ => format!("{least} or {}", counted(*most, "voice")),
            };
            format!("{voices} in {}", bars(*from, *to))
        });
        return told.collect::<Vec<_>>().join(", ");
    }
    let counts = || of_bars.iter().map(|(_, count)| *count);
    let (least, most) = (counts().min().unwrap_or(0), counts().max().unwrap_or(0));
    let full = counts().filter(|count| *count == most).count();
    let range = if least == 0 { "up to".to_owned() } else { format!("{least} to") };
    format!(
        "{range} {}; {most} of them in {full} of {} bars",
        counted(most, "voice"),
        of_bars.len()
    )
}
