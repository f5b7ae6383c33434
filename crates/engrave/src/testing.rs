//! Pictures for tests.

use score::{BarLength, Options, align, arrange, reckon};

use crate::{Look, Picture, engrave};

/// The picture of a parts file as a keyboard score.
pub(crate) fn picture(text: &str) -> Picture {
    let piece = notation::parse(text).piece;
    let score = align(&piece, reckon(&piece), BarLength::Breve).score;
    engrave(&arrange(&score, Options::default()), &Look::default())
}

/// Two voices on the upper staff, over a bass.
pub(crate) const TWO_VOICES: &str = "\
title Two voices
voice Cantus  clef C1
  mn A4 B C5 D sb E lg D
voice Altus  clef C3
  mn D4 E F E sb C lg D
voice Bassus  clef F4
  br D3 sb A2 lg D3
";
