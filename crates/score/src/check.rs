//! Everything that counting and laying out have to say about a piece.

use notation::{Code, Diagnostic, Piece};
use rudiments::interval_in_words;

use crate::arrange::{Hand, Options, Stretch, arrange};
use crate::lone_signature::lone_signature;
use crate::missing_sign::missing_signs;
use crate::{Aligned, BarLength, Score, align, high_clefs, reckon};

/// So many bars are named where the hands cannot reach; the rest is counted.
const MOST_BARS: usize = 12;

/// Counts and aligns a piece, and looks at its clefs and at what the hands must reach; the
/// diagnostics of all that, without those of parsing.
pub fn check(piece: &Piece, bar: BarLength, reach: u32) -> Aligned {
    let reckoned = reckon(piece);
    let missing = missing_signs(piece, &reckoned);
    let mut aligned = align(piece, reckoned, bar);
    aligned.diagnostics.extend(missing);
    aligned.diagnostics.extend(high_clefs(piece));
    aligned.diagnostics.extend(lone_signature(piece));
    let arrangement = arrange(&aligned.score, Options { reach, ..Options::default() });
    let stretch = beyond_reach(&aligned.score, &arrangement.stretches, reach);
    aligned.diagnostics.extend(stretch);
    aligned
}

/// One diagnostic for all places that the hands cannot reach.
fn beyond_reach(score: &Score, stretches: &[Stretch], reach: u32) -> Option<Diagnostic> {
    let first = stretches.first()?;
    let bar = |stretch: &Stretch| score.bars.partition_point(|bar| bar.end <= stretch.at) + 1;
    let (voice, event) = *first.events.first()?;
    let hand = match first.hand {
        Hand::Right => "right",
        Hand::Left => "left",
    };
    let voices: Vec<&str> =
        first.events.iter().map(|(voice, _)| score.voices[*voice].name.as_str()).collect();
    let message = format!(
        "in bar {} the {hand} hand has to span {}, from {}",
        bar(first),
        interval_in_words(first.span),
        voices.join(" to ")
    );
    let mut bars: Vec<usize> = stretches.iter().map(bar).collect();
    bars.dedup();
    let named: Vec<String> = bars.iter().take(MOST_BARS).map(ToString::to_string).collect();
    let more = if bars.len() > MOST_BARS { ", …" } else { "" };
    let help = format!(
        "{} beyond {}, in {} {}{more}; leave a note out there, play it an octave away, or share the \
         notes out yourself with `hand left` or `hand right` in the head",
        if stretches.len() == 1 {
            "one span".to_owned()
        } else {
            format!("{} spans", stretches.len())
        },
        interval_in_words(reach),
        if bars.len() == 1 { "bar" } else { "bars" },
        named.join(", ")
    );
    let span = score.voices[voice].events[event].span;
    Some(Diagnostic::new(Code::BeyondReach, span, message).help(help))
}

#[cfg(test)]
mod tests {
    use notation::parse;

    use super::*;

    fn said(text: &str) -> Vec<String> {
        let found = check(&parse(text).piece, BarLength::Breve, 9).diagnostics;
        found
            .into_iter()
            .map(|d| format!("{}; {}", d.message, d.help.unwrap_or_default()))
            .collect()
    }

    #[test]
    fn a_span_that_no_hand_can_avoid() {
        let text = "voice Cantus clef C1\n br D5\nvoice Altus clef C3\n br D3\nvoice Bassus clef F4\n br D2\n";
        let found = said(text);
        assert_eq!(found.len(), 0, "two hands reach three notes an octave apart: {found:?}");
        let found = said(&text.replace("D3", "F3").replace("D2", "C2"));
        assert_eq!(found.len(), 1, "{found:?}");
        assert!(found[0].starts_with("in bar 1 the "), "{found:?}");
    }
}
