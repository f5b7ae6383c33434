//! The line in which the cursor stands, as its source prints it.

use cartella::{Copied, Mm, Piece, SourceLine, TypeStyle, copy_line, live_svg};

use crate::message::Printed;

/// The usual height of a staff, as on a proof sheet.
const STAFF: Mm = Mm(6.0);

/// The line of a voice in which a byte stands, or before which it does; of a voice without music none.
pub(crate) fn line_at<'c>(
    copied: &'c Copied<'_>,
    voice: usize,
    byte: u32,
) -> Option<&'c SourceLine> {
    let items = &copied.example().piece().voices.get(voice)?.items;
    let lines = copied.lines.iter().filter(|line| line.voice == voice);
    let begins =
        |line: &&SourceLine| items.get(line.items.start).is_none_or(|item| item.span.start <= byte);
    lines.clone().take_while(begins).last().or_else(|| lines.clone().next())
}

/// The drawing of a line, so wide.
pub(crate) fn drawn(piece: &Piece, line: &SourceLine, width: Mm) -> Printed {
    let picture = copy_line(piece, line, width, STAFF, &TypeStyle::default());
    Printed { index: line.voice, svg: live_svg(&picture), line: line.number }
}
