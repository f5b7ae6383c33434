//! XML from outside, parsed within limits.
//!
//! The parser itself does not recurse, but it compares the attributes of an element two by two
//! and copies the namespaces in force to every element that declares another; so a small file
//! made in bad faith could keep it busy for hours. What no music has is refused beforehand.

use roxmltree::{Document, Error, ParsingOptions};

use crate::{Fault, LARGEST_FILE, ReadError};

/// The most nodes (elements, and the blanks between them) that a file may have: some fifteen for
/// each of the 400 000 notes. At about 75 bytes each they fit in half a gigabyte.
const MOST_NODES: u32 = 6_000_000;

/// The same for MusicXML, where a note has some 36 with its words, and 450 bytes, as counted on
/// the editions of the SEILS dataset: enough for 400 000 notes. They take a little over a gigabyte.
const MOST_NODES_TYPED: u32 = 16_000_000;

/// The most attributes in one element. MEI 4.0 defines fewer than a hundred for its richest one,
/// the definition of a score (from memory).
const MOST_ATTRIBUTES: usize = 256;

/// The most namespace prefixes that a file may declare; one or two are usual.
const MOST_PREFIXES: usize = 1000;

/// The document that the text of a file holds.
///
/// # Errors
/// If it is too large or too crowded, has a document type declaration, or is not well-formed.
pub(crate) fn parse<'t>(file: &str, text: &'t str) -> Result<Document<'t>, ReadError> {
    document(file, text, false)
}

/// The same for a format whose files usually name their document type. A declaration that only
/// names it is passed over, and what it names is never fetched; one that defines entities is
/// refused.
pub(crate) fn parse_typed<'t>(file: &str, text: &'t str) -> Result<Document<'t>, ReadError> {
    if let Some(byte) = own_definitions(text) {
        let fault = Fault::OwnDefinitions;
        return Err(ReadError { file: file.to_owned(), line: Some(line(text, byte)), fault });
    }
    document(file, text, true)
}

fn document<'t>(file: &str, text: &'t str, typed: bool) -> Result<Document<'t>, ReadError> {
    let error = |line, fault| ReadError { file: file.to_owned(), line, fault };
    if text.len() > LARGEST_FILE {
        return Err(error(None, Fault::TooLarge));
    }
    if let Some(byte) = crowded_tag(text) {
        return Err(error(Some(line(text, byte)), Fault::TooCrowded));
    }
    let nodes_limit = if typed { MOST_NODES_TYPED } else { MOST_NODES };
    let options = ParsingOptions { allow_dtd: typed, nodes_limit, ..ParsingOptions::default() };
    Document::parse_with_options(text, options).map_err(|cause| match cause {
        Error::DtdDetected => error(None, Fault::DocumentType),
        Error::NodesLimitReached
        | Error::AttributesLimitReached
        | Error::NamespacesLimitReached => error(None, Fault::TooCrowded),
        Error::NoRootNode | Error::UnclosedRootNode | Error::UnexpectedEndOfStream => {
            error(None, Fault::NotXml { why: cause.to_string() })
        }
        _ => {
            let place = cause.pos();
            let why = cause.to_string();
            // The line is named once, before the sentence.
            let why = why.strip_suffix(&format!(" at {place}")).unwrap_or(&why).to_owned();
            error(Some(place.row), Fault::NotXml { why })
        }
    })
}

fn line(text: &str, byte: usize) -> u32 {
    text[..byte].bytes().filter(|byte| *byte == b'\n').count() as u32 + 1
}

/// The document type declaration, if it has definitions of its own in brackets.
fn own_definitions(text: &str) -> Option<usize> {
    let mut place = 0;
    loop {
        let rest = &text[place..];
        let open = place + rest.find('<')?;
        let rest = &text[open..];
        let passed_over = [("<!--", "-->"), ("<?", "?>")];
        if let Some((begin, end)) =
            passed_over.into_iter().find(|(begin, _)| rest.starts_with(begin))
        {
            let inside = open + begin.len();
            place = inside + text[inside..].find(end)? + end.len();
        } else if rest.starts_with("<!") {
            let mut quote = None;
            let end = rest.bytes().find(|byte| match (quote, byte) {
                (None, b'"' | b'\'') => {
                    quote = Some(*byte);
                    false
                }
                (Some(open), _) => {
                    quote = (*byte != open).then_some(open);
                    false
                }
                (None, _) => matches!(byte, b'[' | b'>'),
            });
            return (end != Some(b'>')).then_some(open);
        } else {
            return None;
        }
    }
}

/// The first tag with too many attributes, or with the prefix that is one too many.
fn crowded_tag(text: &str) -> Option<usize> {
    let mut prefixes = 0;
    let mut place = 0;
    while let Some(open) = text[place..].find('<').map(|skipped| place + skipped) {
        let rest = &text[open..];
        let no_tag = [("<!--", "-->"), ("<![CDATA[", "]]>"), ("<?", "?>")];
        if let Some((begin, end)) = no_tag.into_iter().find(|(begin, _)| rest.starts_with(begin)) {
            let inside = open + begin.len();
            place = inside + text[inside..].find(end)?;
            continue;
        }
        let tag = Tag::at_beginning_of(rest);
        prefixes += tag.prefixes;
        if tag.attributes > MOST_ATTRIBUTES || prefixes > MOST_PREFIXES {
            return Some(open);
        }
        place = open + tag.end?;
    }
    None
}

/// How crowded a tag is.
struct Tag {
    attributes: usize,
    prefixes: usize,
    /// Where its `>` stands, if it has one.
    end: Option<usize>,
}

impl Tag {
    fn at_beginning_of(text: &str) -> Tag {
        let mut tag = Tag { attributes: 0, prefixes: 0, end: None };
        let mut quote = None;
        for (place, byte) in text.bytes().enumerate() {
            if let Some(open) = quote {
                quote = (byte != open).then_some(open);
                continue;
            }
            match byte {
                b'"' | b'\'' => quote = Some(byte),
                b'=' => tag.attributes += 1,
                b'x' if text[place..].starts_with("xmlns:") => tag.prefixes += 1,
                b'>' => {
                    tag.end = Some(place);
                    break;
                }
                _ => {}
            }
        }
        tag
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn fault(text: &str) -> (Option<u32>, Fault) {
        let error = parse("cantus", text).unwrap_err();
        assert_eq!(error.file, "cantus");
        (error.line, error.fault)
    }

    #[test]
    fn what_is_damaged_is_shown() {
        let (line, wrong) = fault("<a>\n<b>\n</a>");
        assert_eq!(line, Some(3));
        assert_eq!(wrong, Fault::NotXml { why: "expected 'b' tag, not 'a'".into() });
        for text in ["", "<a>", "<a", "<", "no XML", "<a b=>", "<!-- ", "\0", "<a>&b;</a>"] {
            assert!(matches!(fault(text).1, Fault::NotXml { .. }), "{text}");
        }
    }

    #[test]
    fn a_byte_order_mark_does_no_harm() {
        assert!(parse("cantus", "\u{feff}<?xml version=\"1.0\"?>\n<a/>").is_ok());
    }

    #[test]
    fn entities_are_not_defined_by_a_file() {
        let text = "<!DOCTYPE a [<!ENTITY b \"c\">]>\n<a>&b;</a>";
        assert_eq!(fault(text).1, Fault::DocumentType);
    }

    #[test]
    fn a_document_type_may_be_named_but_not_defined() {
        let named =
            "<?xml version=\"1.0\"?><!-- [ --> <!DOCTYPE a PUBLIC \"-//[\" 'a.dtd'> <a>&lt;</a>";
        assert_eq!(parse_typed("cantus", named).unwrap().root_element().text(), Some("<"));
        assert_eq!(fault(named).1, Fault::DocumentType);
        assert!(parse_typed("cantus", "<a/>").is_ok());

        for defined in [
            "<!DOCTYPE a [<!ENTITY b \"c\">]><a>&b;</a>",
            "<!-- > -->\n<!DOCTYPE a SYSTEM \">\" [<!ENTITY b SYSTEM \"file:///etc/hosts\">]><a>&b;</a>",
            "<!DOCTYPE a ",
        ] {
            let error = parse_typed("cantus", defined).unwrap_err();
            assert_eq!(error.fault, Fault::OwnDefinitions, "{defined}");
        }
    }

    #[test]
    fn nothing_is_fetched_from_where_a_document_type_is_named() {
        let text = "<!DOCTYPE a SYSTEM \"file:///etc/hosts\"><a>&b;</a>";
        assert!(matches!(parse_typed("cantus", text).unwrap_err().fault, Fault::NotXml { .. }));
    }

    #[test]
    fn deep_nesting_is_parsed() {
        let depth = 300_000;
        let text = format!("{}{}", "<a>".repeat(depth), "</a>".repeat(depth));
        assert_eq!(parse("cantus", &text).unwrap().descendants().count(), depth + 1);
    }

    #[test]
    fn a_crowd_is_refused_before_it_is_parsed() {
        let attributes = (0..300).map(|n| format!(" a{n}='>'")).collect::<Vec<_>>().concat();
        let text = format!("<a>\n<b{attributes}/></a>");
        assert_eq!(fault(&text), (Some(2), Fault::TooCrowded));

        let prefixes =
            (0..2000).map(|n| format!("<a xmlns:p{n}='u'>")).collect::<Vec<_>>().concat();
        assert_eq!(fault(&prefixes), (Some(1), Fault::TooCrowded));
    }

    #[test]
    fn a_crowd_in_comments_and_text_is_none() {
        let signs = "a = xmlns:b ".repeat(2000);
        let text = format!("<a><!-- {signs} --><![CDATA[{signs}]]><?p {signs}?>{signs}</a>");
        assert!(parse("cantus", &text).is_ok());
    }

    #[test]
    fn a_comment_does_not_end_in_its_beginning() {
        let attributes = (0..300).map(|n| format!(" a{n}=''")).collect::<Vec<_>>().concat();
        let text = format!("<a><!--><b \"--><b{attributes}/></a>");
        assert_eq!(fault(&text), (Some(1), Fault::TooCrowded));
    }

    #[test]
    fn size_is_limited() {
        assert_eq!(fault(&" ".repeat(LARGEST_FILE + 1)).1, Fault::TooLarge);
    }
}
