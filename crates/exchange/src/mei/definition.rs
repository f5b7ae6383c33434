//! Clefs, signatures and signs, from the attributes of definitions and from elements.

use roxmltree::Node;
use rudiments::{Circle, Clef, ClefShape, Sign, Signature, Step, Value};

use super::elements::{elements, is_true, name};
use crate::reading::Remarks;

/// The attributes of staff and score definitions that [`clef`], [`signature`] and [`sign`] read,
/// and others that are read elsewhere.
pub(super) const ATTRIBUTES: &[&str] = &[
    "clef.shape",
    "clef.line",
    "key.sig",
    "keysig",
    "mensur.sign",
    "mensur.dot",
    "mensur.slash",
    "mensur.orient",
    "proport.num",
    "proport.numbase",
    "dur.default",
    "notationtype",
    "lines",
    "tempus",
    "prolatio",
    "modusminor",
    "modusmaior",
];

/// The clef that an element names; attributes of definitions begin with `clef.`.
pub(super) fn clef(node: Node<'_, '_>, prefix: &str, remarks: &mut Remarks) -> Option<Clef> {
    let attribute = |name: &str| node.attribute(format!("{prefix}{name}").as_str());
    let shape = attribute("shape")?;
    let line = attribute("line").and_then(|line| line.trim().parse().ok());
    let letter = match shape {
        "G" => Some(ClefShape::G),
        "C" => Some(ClefShape::C),
        "F" => Some(ClefShape::F),
        _ => None,
    };
    let clef = letter.and_then(|letter| Clef::new(letter, line?));
    if clef.is_none() {
        remarks.about(node, "a clef other than G, C or F on one of five lines is not kept");
    }
    clef
}

/// The value of a duration in mensural notation (MEI's `data.DURATION.mensural`).
pub(super) fn value(text: &str) -> Option<Value> {
    Some(match text {
        "maxima" => Value::Maxima,
        "longa" => Value::Longa,
        "brevis" => Value::Breve,
        "semibrevis" => Value::Semibreve,
        "minima" => Value::Minim,
        "semiminima" => Value::Semiminim,
        "fusa" => Value::Fusa,
        "semifusa" => Value::Semifusa,
        _ => return None,
    })
}

/// The signature of a definition: `key.sig`, or `keysig` since MEI 5.
pub(super) fn signature(node: Node<'_, '_>, remarks: &mut Remarks) -> Option<Signature> {
    let text = node.attribute("key.sig").or_else(|| node.attribute("keysig"))?;
    let signature = fifths(text);
    if signature.is_none() {
        remarks.about(node, "a signature that does not say its sharps or flats is not kept");
    }
    signature
}

/// The signature of a `<keySig>`: the signs in it, or else its `sig`.
pub(super) fn key_signature(node: Node<'_, '_>, remarks: &mut Remarks) -> Option<Signature> {
    remarks.attributes(node, &["sig"]);
    let mut signs = elements(node).filter(|child| name(*child) == "keyAccid").peekable();
    let signature = if signs.peek().is_some() {
        signs.try_fold(Signature::NONE, |signature, sign| {
            let step = sign.attribute("pname").and_then(step)?;
            let alteration = match sign.attribute("accid")? {
                "s" | "x" => 1,
                "f" => -1,
                _ => return None,
            };
            Some(signature.with(step, alteration))
        })
    } else {
        fifths(node.attribute("sig").unwrap_or_default())
    };
    if signature.is_none() {
        remarks.about(node, "a signature that does not say its sharps or flats is not kept");
    }
    signature
}

/// `0`, `1f`, `2s`: so many signs in the usual order (MEI's `data.KEYFIFTHS`).
fn fifths(text: &str) -> Option<Signature> {
    let (count, sign) = match text.strip_suffix('f') {
        Some(count) => (count, -1),
        None => (text.strip_suffix('s').unwrap_or(text), 1),
    };
    let count: i32 = count.parse().ok()?;
    let is_plain = count == 0 || text.ends_with(['f', 's']);
    (is_plain && (0..=7).contains(&count)).then(|| Signature::of_fifths(sign * count))
}

/// The step of a `pname`.
pub(super) fn step(text: &str) -> Option<Step> {
    let mut characters = text.chars();
    let letter = characters.next().filter(char::is_ascii_lowercase)?;
    if characters.next().is_some() { None } else { Step::from_letter(letter) }
}

/// The sign of a definition, from `mensur.` and `proport.` attributes.
pub(super) fn sign_of_definition(node: Node<'_, '_>, remarks: &mut Remarks) -> Option<Sign> {
    sign(node, "mensur.", "proport.", remarks)
}

/// The sign of a `<mensur>` or `<proport>`.
pub(super) fn sign_of_element(node: Node<'_, '_>, remarks: &mut Remarks) -> Option<Sign> {
    remarks.attributes(
        node,
        &[
            "sign",
            "dot",
            "slash",
            "orient",
            "num",
            "numbase",
            "tempus",
            "prolatio",
            "modusminor",
            "modusmaior",
        ],
    );
    let sign = sign(node, "", "", remarks);
    if sign.is_none() {
        remarks.about(node, "a mensuration without a sign or figures is not kept");
    }
    sign
}

fn sign(
    node: Node<'_, '_>,
    of_circle: &str,
    of_figures: &str,
    remarks: &mut Remarks,
) -> Option<Sign> {
    let attribute = |prefix: &str, name: &str| node.attribute(format!("{prefix}{name}").as_str());
    let circle = match attribute(of_circle, "sign") {
        Some("O") => Some(Circle::Full),
        Some("C") if attribute(of_circle, "orient") == Some("reversed") => Some(Circle::Reversed),
        Some("C") => Some(Circle::Half),
        Some(_) => {
            remarks.about(node, "a mensuration sign other than O and C is not kept");
            None
        }
        None => None,
    };
    if attribute(of_circle, "orient").is_some_and(|orient| orient != "reversed") {
        remarks.about(node, "the turning of a mensuration sign is not kept");
    }
    let slash = attribute(of_circle, "slash").unwrap_or("0").trim();
    if !matches!(slash, "0" | "1") {
        remarks.about(node, "of several strokes through a mensuration sign, one is kept");
    }
    let figures = figures(attribute(of_figures, "num"), attribute(of_figures, "numbase"));
    if figures.is_none() {
        remarks.about(node, "figures other than 1 to 99 are not kept");
    }
    let (upper, lower) = figures.unwrap_or_default();
    let stroke = circle.is_some() && slash != "0";
    let dot = circle.is_some() && is_true(node, &format!("{of_circle}dot"));
    let sign =
        (circle.is_some() || upper.is_some()).then_some(Sign { circle, dot, stroke, upper, lower });
    divisions(node, sign, remarks);
    sign
}

/// One figure, two, or none; nothing where they cannot be typed.
fn figures(upper: Option<&str>, lower: Option<&str>) -> Option<(Option<u32>, Option<u32>)> {
    let figure = |text: &str| text.trim().parse().ok().filter(|figure| (1..100).contains(figure));
    match (upper, lower) {
        (None, None) => Some((None, None)),
        (Some(upper), None) => Some((Some(figure(upper)?), None)),
        (Some(upper), Some(lower)) => Some((Some(figure(upper)?), Some(figure(lower)?))),
        (None, Some(_)) => None,
    }
}

/// Remarks on the divisions that are said beside a sign, unless the sign alone says the same: a
/// full circle is perfect time, a dot major prolation, all else imperfect (common practice).
fn divisions(node: Node<'_, '_>, sign: Option<Sign>, remarks: &mut Remarks) {
    let tempus = if sign.and_then(|sign| sign.circle) == Some(Circle::Full) { "3" } else { "2" };
    let prolatio = if sign.is_some_and(|sign| sign.dot) { "3" } else { "2" };
    let said =
        [("tempus", tempus), ("prolatio", prolatio), ("modusminor", "2"), ("modusmaior", "2")];
    if said.into_iter().any(|(name, plain)| node.attribute(name).is_some_and(|said| said != plain))
    {
        remarks.about(
            node,
            "a division into two or three that the sign does not show (`tempus`, `prolatio`, \
             `modusminor`, `modusmaior`) is not kept",
        );
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// MEI 4.0, `data.KEYSIGNATURE`.
    #[test]
    fn signatures_by_number() {
        let signature = |text| fifths(text).map(|signature| signature.to_string());
        assert_eq!(signature("0").as_deref(), Some("none"));
        assert_eq!(signature("1f").as_deref(), Some("Bb"));
        assert_eq!(signature("2s").as_deref(), Some("F#,C#"));
        for text in ["", "f", "1", "8f", "-1f", "mixed", "1x"] {
            assert_eq!(signature(text), None, "{text}");
        }
    }

    /// The order of values (common practice) is that of MEI's mensural durations.
    #[test]
    fn values_by_name() {
        let names =
            ["maxima", "longa", "brevis", "semibrevis", "minima", "semiminima", "fusa", "semifusa"];
        assert_eq!(names.map(value), Value::ALL.map(Some));
        assert_eq!(value("4"), None);
    }
}
