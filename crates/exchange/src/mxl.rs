//! Compressed MusicXML: a zip file with the score and a page that says where in it the score is
//! (MusicXML 4.0, "Compressed .MXL Files").
//!
//! Of a file that is read, only the score that it names is unpacked, into memory, and only as far
//! as music of that size may swell. Nothing is written and no other file is opened.

use std::borrow::Cow;
use std::io::{Cursor, Read, Write as _};

use zip::result::ZipError;
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, ZipArchive, ZipWriter};

use crate::elements::{child, children};
use crate::{Error, Fault, LARGEST_FILE, ReadError, xml};

/// The media type of a compressed score, and that of the score in it.
const COMPRESSED: &str = "application/vnd.recordare.musicxml";
const PLAIN: &str = "application/vnd.recordare.musicxml+xml";

/// Where in a compressed file it says where the score is.
const CONTAINER: &str = "META-INF/container.xml";

/// The name of the score in files that are written.
const SCORE: &str = "score.musicxml";

/// The largest page that says where the score is, in bytes; a few hundred are usual.
const LARGEST_CONTAINER: u64 = 1 << 20;

/// A score may be so many times as large as the compressed file. The editions of the SEILS dataset
/// pack to a 25th, a score of this program to a 30th, and one of four voices that repeat the same
/// two notes 100 000 times to a 150th (measured); the algorithm allows a thousandth.
const MOST_SWELLING: u64 = 200;

/// A small file may swell to so many bytes all the same.
const SMALL: u64 = 4 << 20;

/// Packs a score in MusicXML. The same score gives the same bytes.
///
/// # Errors
/// What the library that packs says.
pub fn write_mxl(score: &str) -> Result<Vec<u8>, Error> {
    let container = format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n\
         <container>\n <rootfiles>\n  \
         <rootfile full-path=\"{SCORE}\" media-type=\"{PLAIN}\"/>\n \
         </rootfiles>\n</container>\n"
    );
    let stored = SimpleFileOptions::default()
        .compression_method(CompressionMethod::Stored)
        .last_modified_time(zip::DateTime::DEFAULT)
        .unix_permissions(0o644);
    let packed = stored.compression_method(CompressionMethod::Deflated);
    let write = || -> Result<Vec<u8>, ZipError> {
        let mut zip = ZipWriter::new(Cursor::new(Vec::with_capacity(score.len() / 16 + 1024)));
        // First and uncompressed, so that the kind of file can be told from its first bytes.
        zip.start_file("mimetype", stored)?;
        zip.write_all(COMPRESSED.as_bytes())?;
        zip.start_file(CONTAINER, packed)?;
        zip.write_all(container.as_bytes())?;
        zip.start_file(SCORE, packed.large_file(score.len() as u64 > u32::MAX as u64))?;
        zip.write_all(score.as_bytes())?;
        Ok(zip.finish()?.into_inner())
    };
    write().map_err(|error| Error::Compress(error.into()))
}

/// The text of a score, plain or compressed.
///
/// # Errors
/// If the file is too large or damaged, if it swells too much, or if it is no text.
pub(crate) fn text<'b>(file: &str, bytes: &'b [u8]) -> Result<Cow<'b, str>, ReadError> {
    let error = |fault| ReadError { file: file.to_owned(), line: None, fault };
    if bytes.len() > LARGEST_FILE {
        return Err(error(Fault::TooLarge));
    }
    if bytes.starts_with(b"PK") {
        let score = unpack(file, bytes)?;
        return Ok(Cow::Owned(
            decoded(&score).ok_or_else(|| error(Fault::NotUnicode))?.into_owned(),
        ));
    }
    decoded(bytes).ok_or_else(|| error(Fault::NotUnicode))
}

/// Text in UTF-8, or in UTF-16 with its byte order mark, as XML has it.
fn decoded(bytes: &[u8]) -> Option<Cow<'_, str>> {
    let units = |of_pair: fn([u8; 2]) -> u16| {
        let (pairs, rest) = bytes[2..].as_chunks::<2>();
        let text = char::decode_utf16(pairs.iter().map(|pair| of_pair(*pair)));
        let text: Result<String, _> = text.collect();
        text.ok().filter(|_| rest.is_empty()).map(Cow::Owned)
    };
    match bytes {
        [0xff, 0xfe, ..] => units(u16::from_le_bytes),
        [0xfe, 0xff, ..] => units(u16::from_be_bytes),
        _ => std::str::from_utf8(bytes).ok().map(Cow::Borrowed),
    }
}

/// The score in a compressed file.
fn unpack(file: &str, bytes: &[u8]) -> Result<Vec<u8>, ReadError> {
    let error = |fault| ReadError { file: file.to_owned(), line: None, fault };
    let damaged = |cause: ZipError| {
        let why = match cause {
            ZipError::FileNotFound => "what it should contain is not there".to_owned(),
            cause => cause.to_string(),
        };
        error(Fault::NotContainer { why })
    };
    let mut zip = ZipArchive::new(Cursor::new(bytes)).map_err(damaged)?;
    let container = entry(&mut zip, CONTAINER, LARGEST_CONTAINER)
        .map_err(damaged)?
        .ok_or_else(|| error(Fault::Swells { limit: LARGEST_CONTAINER >> 20 }))?;
    let path = score_path(file, &container)?;
    let outside = path.starts_with(['/', '\\']) || path.split(['/', '\\']).any(|part| part == "..");
    if outside {
        return Err(error(Fault::Outside { path }));
    }
    let limit = (bytes.len() as u64 * MOST_SWELLING).max(SMALL).min(LARGEST_FILE as u64);
    entry(&mut zip, &path, limit)
        .map_err(damaged)?
        .ok_or_else(|| error(Fault::Swells { limit: limit >> 20 }))
}

/// What an entry contains; nothing if that is more than `limit` bytes.
fn entry(
    zip: &mut ZipArchive<Cursor<&[u8]>>,
    name: &str,
    limit: u64,
) -> Result<Option<Vec<u8>>, ZipError> {
    let entry = zip.by_name(name)?;
    let mut content = Vec::new();
    // What the file says of its sizes need not be true.
    entry.take(limit + 1).read_to_end(&mut content)?;
    Ok(Some(content).filter(|content| content.len() as u64 <= limit))
}

/// Where the score is: the first file that is named and is one.
fn score_path(file: &str, container: &[u8]) -> Result<String, ReadError> {
    let error = |fault| ReadError { file: file.to_owned(), line: None, fault };
    let text = decoded(container).ok_or_else(|| error(Fault::NotUnicode))?;
    let page = xml::parse_typed(file, &text)?;
    let files = child(page.root_element(), "rootfiles");
    let mut files = files.into_iter().flat_map(|files| children(files, "rootfile"));
    let score = files.find(|file| file.attribute("media-type").is_none_or(|kind| kind == PLAIN));
    score.and_then(|score| score.attribute("full-path")).map(str::to_owned).ok_or_else(|| {
        let why = "it does not say which of its contents is the score".to_owned();
        error(Fault::NotContainer { why })
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    const SCORE_TEXT: &str = "<score-partwise/>";

    /// A zip file of these entries.
    fn zip(entries: &[(&str, &[u8])]) -> Vec<u8> {
        let mut zip = ZipWriter::new(Cursor::new(Vec::new()));
        for (name, content) in entries {
            zip.start_file(*name, SimpleFileOptions::default()).unwrap();
            zip.write_all(content).unwrap();
        }
        zip.finish().unwrap().into_inner()
    }

    fn naming(path: &str) -> String {
        format!("<container><rootfiles><rootfile full-path=\"{path}\"/></rootfiles></container>")
    }

    fn fault(bytes: &[u8]) -> Fault {
        text("score", bytes).unwrap_err().fault
    }

    #[test]
    fn what_is_packed_is_unpacked() {
        let packed = write_mxl(SCORE_TEXT).unwrap();
        assert_eq!(text("score", &packed).unwrap(), SCORE_TEXT);
        assert_eq!(packed, write_mxl(SCORE_TEXT).unwrap());
    }

    /// MusicXML 4.0, "Compressed .MXL Files": the first file is `mimetype`, uncompressed, with the
    /// media type alone. (A local header of a zip file has 30 bytes before the name: PKWARE
    /// APPNOTE 6.3, 4.3.7.)
    #[test]
    fn the_kind_of_file_is_told_by_its_first_bytes() {
        let packed = write_mxl(SCORE_TEXT).unwrap();
        assert_eq!(&packed[30..38], b"mimetype");
        assert_eq!(&packed[38..38 + COMPRESSED.len()], COMPRESSED.as_bytes());
    }

    #[test]
    fn the_first_score_that_is_named_is_read() {
        let container = "<?xml version=\"1.0\"?><!DOCTYPE container SYSTEM 'container.dtd'>\
            <container><rootfiles><rootfile full-path=\"a.pdf\" media-type=\"application/pdf\"/>\
            <rootfile full-path=\"music/b.xml\"/><rootfile full-path=\"c.xml\"/></rootfiles>\
            </container>";
        let packed = zip(&[
            ("c.xml", b"<c/>"),
            (CONTAINER, container.as_bytes()),
            ("a.pdf", b"%PDF"),
            ("music/b.xml", SCORE_TEXT.as_bytes()),
        ]);
        assert_eq!(text("score", &packed).unwrap(), SCORE_TEXT);
    }

    #[test]
    fn text_may_be_in_utf_16() {
        for bytes in [
            "\u{feff}<é/>".encode_utf16().flat_map(u16::to_le_bytes).collect::<Vec<u8>>(),
            "\u{feff}<é/>".encode_utf16().flat_map(u16::to_be_bytes).collect(),
            "<é/>".as_bytes().to_vec(),
        ] {
            assert_eq!(text("score", &bytes).unwrap(), "<é/>");
        }
        assert_eq!(fault(b"\xff\xfe<"), Fault::NotUnicode);
        assert_eq!(fault(b"<\xe9/>"), Fault::NotUnicode);
        assert_eq!(fault(b"\xff\xfe\x00\xd8"), Fault::NotUnicode);
    }

    #[test]
    fn a_bomb_is_not_unpacked() {
        let large = vec![b' '; 9 << 20];
        let packed = zip(&[(CONTAINER, naming("a.xml").as_bytes()), ("a.xml", &large)]);
        assert!(packed.len() < 20_000);
        assert_eq!(fault(&packed), Fault::Swells { limit: 4 });
        let packed = zip(&[(CONTAINER, &large)]);
        assert_eq!(fault(&packed), Fault::Swells { limit: 1 });
    }

    #[test]
    fn the_size_that_a_file_claims_is_not_believed() {
        let large = vec![b' '; 9 << 20];
        let mut packed = zip(&[(CONTAINER, naming("a.xml").as_bytes()), ("a.xml", &large)]);
        let size = (large.len() as u32).to_le_bytes();
        for place in 0..packed.len() - 4 {
            if packed[place..place + 4] == size {
                packed[place..place + 4].copy_from_slice(&7_u32.to_le_bytes());
            }
        }
        let fault = fault(&packed);
        let refused = matches!(fault, Fault::Swells { .. } | Fault::NotContainer { .. });
        assert!(refused, "{fault:?}");
    }

    #[test]
    fn nothing_outside_is_read() {
        for path in ["../../etc/hosts", "/etc/hosts", "a/../../b", "..\\b", "\\b"] {
            let packed = zip(&[(CONTAINER, naming(path).as_bytes()), (path, b"<a/>")]);
            assert_eq!(fault(&packed), Fault::Outside { path: path.to_owned() });
        }
        // A file of this machine that is not in the compressed file is not there.
        let packed = zip(&[(CONTAINER, naming("Cargo.toml").as_bytes())]);
        assert!(matches!(fault(&packed), Fault::NotContainer { .. }));
    }

    #[test]
    fn what_is_damaged_is_refused() {
        let packed = write_mxl(SCORE_TEXT).unwrap();
        for end in 2..packed.len() {
            assert!(matches!(fault(&packed[..end]), Fault::NotContainer { .. }), "{end}");
        }
        for place in 0..packed.len() {
            let mut changed = packed.clone();
            changed[place] ^= 0xff;
            // Whatever it comes to, it comes to an end.
            let _ = text("score", &changed);
        }
        assert!(matches!(fault(&zip(&[("a", b"")])), Fault::NotContainer { .. }));
        let unnamed = zip(&[(CONTAINER, b"<container/>")]);
        assert!(matches!(fault(&unnamed), Fault::NotContainer { .. }));
        let bomb = b"<!DOCTYPE a [<!ENTITY b \"c\">]><a>&b;</a>";
        assert_eq!(fault(&zip(&[(CONTAINER, bomb)])), Fault::OwnDefinitions);
    }
}
