//! What is printed, sign by sign, becomes the parts file of its encoding, but where the print has something else.

use cartella::Document;
use suite::{MADRIGALS, PRINTED, Printed, likeness, madrigal_parts, opendata, printed_parts};

#[test]
fn madrigals() {
    let Some(opendata) = opendata() else { return };
    for madrigal in MADRIGALS {
        let encoded = Document::parse(madrigal_parts(&opendata, madrigal));
        let parts = printed_parts(&opendata, madrigal);
        let reading = source::read(&parts).unwrap();
        let printed = Document::parse(reading.text);
        assert!(!printed.has_errors(), "{:#?}", printed.diagnostics());
        for (voice, part) in parts.iter().enumerate() {
            let found = likeness(printed.first().piece(), encoded.first().piece(), voice);
            let here = (madrigal, part.name.as_str());
            let places = PRINTED.iter().filter(|at| (at.madrigal, at.part) == here);
            let signs =
                |at: &Printed| at.encoded.split(' ').count().max(at.printed.split(' ').count());
            let most = match here {
                // A fusa among black semiminims makes four more of the group what they look like.
                ("spontone_tamai", "tenor") => 5,
                _ => places.map(signs).sum(),
            };
            assert!(found.wrong <= most, "{madrigal}, {}: {:#?}", part.name, found.pairs);
        }
    }
}
