//! Clefs, signatures and signs, from the attributes of definitions and from elements.

use roxmltree::Node;
use rudiments::{Circle, Clef, ClefShape, Proportion, Sign, Signature, Step, Value};

use super::elements::{elements, is_true, name};
use crate::reading::Remarks;

/// The attributes of staff and score definitions that [`clef`], [`signature`] and [`counting`] read,
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
    "label",
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
    let shape = shape.parse().ok().and_then(ClefShape::from_letter);
    let clef = shape.and_then(|shape| Clef::new(shape, line?));
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

/// What a sign says, and what stands beside it in the file.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub(super) struct Counting {
    pub(super) sign: Option<Sign>,
    /// What figures say that no sign has.
    pub(super) ratio: Option<Proportion>,
    /// Which values are said to be perfect, or imperfect.
    pub(super) divisions: Vec<(Value, bool)>,
}

/// The sign of a definition, from `mensur.` and `proport.` attributes.
pub(super) fn counting_of_definition(node: Node<'_, '_>, remarks: &mut Remarks) -> Counting {
    counting(node, "mensur.", "proport.", remarks)
}

/// The sign of a `<mensur>` or `<proport>`.
pub(super) fn counting_of_element(node: Node<'_, '_>, remarks: &mut Remarks) -> Counting {
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
    let counting = counting(node, "", "", remarks);
    if counting == Counting::default() {
        remarks.about(node, "a mensuration without a sign or figures is not kept");
    }
    counting
}

fn counting(
    node: Node<'_, '_>,
    of_circle: &str,
    of_figures: &str,
    remarks: &mut Remarks,
) -> Counting {
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
    let of = |name| attribute(of_figures, name);
    let (upper, lower, ratio) = match figures(of("num"), of("numbase")) {
        Some(Figures::Typed(upper, lower)) => (upper, lower, None),
        Some(Figures::Ratio(ratio)) => {
            remarks.about(node, "figures that no sign can have are read as a ratio");
            (None, None, Some(ratio))
        }
        None => {
            remarks.about(node, "figures beyond 99, whose ratio is beyond 64, are not kept");
            (None, None, None)
        }
    };
    let stroke = circle.is_some() && slash != "0";
    let dot = circle.is_some() && is_true(node, &format!("{of_circle}dot"));
    let sign =
        (circle.is_some() || upper.is_some()).then_some(Sign { circle, dot, stroke, upper, lower });
    Counting { sign, ratio, divisions: divisions(node, remarks) }
}

enum Figures {
    Typed(Option<u32>, Option<u32>),
    Ratio(Proportion),
}

/// One figure, two, or none; where they cannot be typed, what they say.
fn figures(upper: Option<&str>, lower: Option<&str>) -> Option<Figures> {
    let figure = |text: Option<&str>| match text {
        Some(text) => text.trim().parse().ok().filter(|figure: &u32| *figure > 0).map(Some),
        None => Some(None),
    };
    let (upper, lower) = (figure(upper)?, figure(lower)?);
    let is_typed = |figure: Option<u32>| figure.is_none_or(|figure| figure < 100);
    if is_typed(upper) && is_typed(lower) && (upper.is_some() || lower.is_none()) {
        return Some(Figures::Typed(upper, lower));
    }
    lowest(upper.unwrap_or(1), lower.unwrap_or(1)).map(Figures::Ratio)
}

/// A proportion in lowest terms, if its figures are small enough then.
pub(super) fn lowest(many: u32, in_time_of: u32) -> Option<Proportion> {
    let (mut divisor, mut rest) = (many, in_time_of);
    while rest > 0 {
        (divisor, rest) = (rest, divisor % rest);
    }
    Proportion::new(many.checked_div(divisor)?, in_time_of.checked_div(divisor)?)
}

/// The divisions into two or three that are said beside a sign.
fn divisions(node: Node<'_, '_>, remarks: &mut Remarks) -> Vec<(Value, bool)> {
    let mut divisions = Vec::new();
    for (name, value) in [
        ("modusmaior", Value::Maxima),
        ("modusminor", Value::Longa),
        ("tempus", Value::Breve),
        ("prolatio", Value::Semibreve),
    ] {
        match node.attribute(name).map(str::trim) {
            None => {}
            Some("2") => divisions.push((value, false)),
            Some("3") => divisions.push((value, true)),
            Some(_) => {
                let what =
                    format!("a division (`{name}`) into other than two or three is not kept");
                remarks.add(node.range().start, what);
            }
        }
    }
    divisions
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
