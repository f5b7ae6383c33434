//! Where the print of the madrigals has other sorts than its encodings, as looked up on the scans.
//!
//! The encodings mend, and have slips of their own. These places were found where networks that had not seen the
//! piece read otherwise than its encoding, and each was looked at; so there are others that nobody has found. Where
//! it was not plain what is printed, the encoding stays.

use std::ops::Range;

use facsimile::{Kind, Sort};

/// A place where something else is printed than is encoded.
pub struct Printed {
    /// The madrigal.
    pub madrigal: &'static str,
    /// The part of it.
    pub part: &'static str,
    /// The line, from 1.
    line: usize,
    /// Before which sort of the line as it is encoded, from 0.
    at: usize,
    /// What the encoding has there.
    pub encoded: &'static str,
    /// What is printed there.
    pub printed: &'static str,
}

const fn place(
    (madrigal, part): (&'static str, &'static str),
    (line, at): (usize, usize),
    encoded: &'static str,
    printed: &'static str,
) -> Printed {
    Printed { madrigal, part, line, at, encoded, printed }
}

/// All places that were found, along the lines.
pub const PRINTED: &[Printed] = &[
    place(("belli_amorcon", "cantus"), (1, 8), "sm@1", "sm@8"),
    place(("belli_amorcon", "cantus"), (1, 11), "sm@1", "sm@8"),
    place(("belli_amorcon", "cantus"), (1, 15), "_lg2 _br _sb", "_sb _lg2 _br"),
    place(("belli_amorcon", "cantus"), (2, 22), "sm@1", "sm@8"),
    place(("gabrielli_oinprimavera", "cantus"), (6, 9), "fu@4", "sf@4"),
    place(("gabrielli_oinprimavera", "altus"), (8, 5), "sharp@7", "sharp@9"),
    place(("giovannelli_nelfoco", "tenor"), (7, 19), "natural@10", ""),
    place(("giovannelli_nelfoco", "bassus"), (5, 10), "mn@1", "mn@0"),
    place(("ingegneri_gianon", "cantus"), (8, 19), "mn@7 sb@7 sb@7", "mn@6 sb@6 sb@6"),
    place(("ingegneri_gianon", "altus"), (1, 8), "sb@9 mn@9", "sb@10 mn@10"),
    place(("ingegneri_gianon", "quintus"), (3, 21), "mn@4", "mn@5"),
    place(("ingegneri_gianon", "tenor"), (3, 7), "_sb _sb", "_br"),
    place(("macque_goditipur", "quintus"), (5, 2), "sm@5 sm@4 _sb", "mn@5 mn@4 _mn"),
    place(("macque_goditipur", "tenor"), (2, 25), "flat@7", ""),
    place(("macque_goditipur", "bassus"), (2, 2), "", "flat@7"),
    place(("pigna_giustodis", "altus"), (6, 18), "sm@9", "sm@8"),
    place(("pigna_giustodis", "quintus"), (2, 5), "sm@1", "sm@0"),
    place(("spontone_tamai", "cantus"), (5, 6), "sb@8", "black-sb@8"),
    place(("spontone_tamai", "cantus"), (5, 15), "sb@7", "black-sb@7"),
    place(("spontone_tamai", "altus"), (5, 9), "sb@9", "black-sb@9"),
    place(("spontone_tamai", "altus"), (5, 19), "sb@7", "black-sb@7"),
    place(("spontone_tamai", "quintus"), (5, 8), "sb@9", "black-sb@9"),
    place(("spontone_tamai", "tenor"), (5, 15), "sm@5", "fu@5"),
    place(("spontone_tamai", "bassus"), (4, 25), "sb@6", "black-sb@6"),
    place(("spontone_tamai", "bassus"), (5, 3), "mn@0", "mn@1"),
    place(("vecchi_fummofelici", "tenor"), (6, 7), "sm@11 flat@10", "flat@10 sm@11"),
    place(("virchi_arsimentre", "cantus"), (5, 23), "", "C"),
    place(("virchi_arsimentre", "altus"), (2, 6), "sharp@8", "sharp@6"),
    place(("virchi_arsimentre", "altus"), (5, 14), "", "C"),
    place(("virchi_arsimentre", "altus"), (5, 29), "", "C"),
    place(("virchi_arsimentre", "altus"), (6, 1), "C", ""),
    place(("virchi_arsimentre", "quintus"), (1, 1), "C", ""),
    place(("virchi_arsimentre", "quintus"), (5, 23), "", "C"),
    place(("virchi_arsimentre", "tenor"), (6, 5), "", "C"),
    place(("virchi_arsimentre", "bassus"), (4, 18), "sm@1", "sm@0"),
    place(("virchi_arsimentre", "bassus"), (5, 7), "", "C"),
    place(("virchi_arsimentre", "bassus"), (7, 11), "sharp@6", "sharp@4"),
];

/// What kinds are called here, in the order of [`Kind::ALL`].
const NAMES: [&str; 42] = [
    "G", "C-clef", "F", "flat", "sharp", "natural", "mx", "lg", "br", "sb", "mn", "sm", "fu", "sf",
    "black-lg", "black-br", "black-sb", "bound-lg", "bound-br", "bound-sb", "direct", "dot",
    "_lg2", "_lg3", "_br", "_sb", "_mn", "_sm", "_fu", "_sf", "C", "C|", "O", "O|", "3", "3/2",
    "oblique", "bar", "double", "repeat", "corona", "signum",
];

/// Puts what is printed into the lines of a part, which are as its encoding has them.
///
/// # Panics
/// If the encoding has something else there than was looked up.
pub fn as_printed(madrigal: &str, part: &str, lines: &mut [Vec<Sort>]) {
    let here = |place: &&Printed| (place.madrigal, place.part) == (madrigal, part);
    for &Printed { line, at, encoded, printed, .. } in PRINTED.iter().rev().filter(here) {
        let (encoded, printed) = (sorts(encoded), sorts(printed));
        let there: Range<usize> = at..at + encoded.len();
        let line = &mut lines[line - 1];
        assert_eq!(line[there.clone()], encoded, "{madrigal}, {part}: {there:?}");
        line.splice(there, printed);
    }
}

fn sorts(names: &str) -> Vec<Sort> {
    names.split_whitespace().map(sort).collect()
}

fn sort(name: &str) -> Sort {
    let (kind, place) = name
        .split_once('@')
        .map_or((name, None), |(kind, place)| (kind, Some(place.parse().expect("a place"))));
    let number = NAMES.iter().position(|known| *known == kind).expect("a kind");
    Sort { kind: Kind::ALL[number], place }
}
