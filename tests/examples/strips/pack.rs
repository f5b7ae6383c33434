//! Strips in one file, as the training reads them: for each the piece and the voice (a byte each), how
//! many sorts and columns it has (two bytes each, the lower first), the numbers of the sorts (two bytes
//! each), and its pixels row by row.

use std::io::{self, Write};

use facsimile::Sort;
use facsimile::image::GrayImage;

/// Writes a strip.
///
/// # Errors
/// If it cannot be written, or has a sort that is not read.
pub(crate) fn write(
    to: &mut impl Write,
    (piece, voice): (usize, usize),
    picture: &GrayImage,
    sorts: &[Sort],
) -> io::Result<()> {
    let number = |sort: &Sort| {
        sort.number().ok_or_else(|| io::Error::other(format!("{sort:?} is not read")))
    };
    let numbers = sorts.iter().map(number).collect::<io::Result<Vec<usize>>>()?;
    to.write_all(&[piece as u8, voice as u8])?;
    to.write_all(&(numbers.len() as u16).to_le_bytes())?;
    to.write_all(&(picture.width() as u16).to_le_bytes())?;
    for number in numbers {
        to.write_all(&(number as u16).to_le_bytes())?;
    }
    to.write_all(picture.as_raw())
}
