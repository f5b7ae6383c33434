//! Mensuration and proportion signs as they are printed.
//!
//! What a sign *means* for counting is the business of reckoning; here it is only read and named.

use std::fmt;

/// The round part of a sign.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Circle {
    /// `O`.
    Full,
    /// `C`, open to the right.
    Half,
    /// `rC`, the half circle turned round.
    Reversed,
}

impl Circle {
    /// All of them.
    pub const ALL: [Circle; 3] = [Circle::Full, Circle::Half, Circle::Reversed];

    /// As it is typed.
    pub fn letters(self) -> &'static str {
        match self {
            Circle::Full => "O",
            Circle::Half => "C",
            Circle::Reversed => "rC",
        }
    }

    /// Whether the breve is perfect under it.
    pub fn is_perfect(self) -> bool {
        match self {
            Circle::Full => true,
            Circle::Half | Circle::Reversed => false,
        }
    }
}

/// A sign as printed: a circle, its dot and stroke, and figures.
///
/// `C|3` is a half circle with a stroke and the figure 3; `3/2` are figures alone.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct Sign {
    /// The circle, where there is one.
    pub circle: Option<Circle>,
    /// The dot of major prolation.
    pub dot: bool,
    /// The stroke through the circle.
    pub stroke: bool,
    /// The figure, or the upper of two.
    pub upper: Option<u32>,
    /// The lower of two figures.
    pub lower: Option<u32>,
}

impl Sign {
    /// `C`, plain imperfect time.
    pub const IMPERFECT: Sign =
        Sign { circle: Some(Circle::Half), dot: false, stroke: false, upper: None, lower: None };

    /// `C|`, imperfect time cut.
    pub const CUT: Sign = Sign { stroke: true, ..Sign::IMPERFECT };

    /// Whether plain duple counting is all that the sign asks for.
    pub fn is_plain(self) -> bool {
        self == Sign::IMPERFECT || self == Sign::CUT
    }

    /// Whether a value may be perfect under it, however it is read: by a full circle, by the dot of
    /// major prolation, by a figure.
    pub fn may_have_perfect_values(self) -> bool {
        self.circle.is_some_and(Circle::is_perfect) || self.dot || self.upper.is_some()
    }

    /// As it is typed: `O`, `O|`, `C`, `C|`, `rC`, `O.`, `C.`, `C.|`, `3`, `3/2`, `C3`, `C|3`, …;
    /// letters capital or small.
    pub fn parse(text: &str) -> Option<Sign> {
        let begins = |circle: Circle| {
            let (letters, rest) = text.split_at_checked(circle.letters().len())?;
            letters.eq_ignore_ascii_case(circle.letters()).then_some((Some(circle), rest))
        };
        let (circle, rest) = Circle::ALL.into_iter().find_map(begins).unwrap_or((None, text));
        let flag = |rest: &mut &str, mark| match rest.strip_prefix(mark) {
            Some(after) if circle.is_some() => {
                *rest = after;
                true
            }
            _ => false,
        };
        let mut rest = rest;
        let mut dot = flag(&mut rest, '.');
        let stroke = flag(&mut rest, '|');
        dot = dot || flag(&mut rest, '.');
        let (upper, lower) = match rest.split_once('/') {
            None if rest.is_empty() => (None, None),
            None => (Some(figure(rest)?), None),
            Some((upper, lower)) => (Some(figure(upper)?), Some(figure(lower)?)),
        };
        (circle.is_some() || upper.is_some()).then_some(Sign { circle, dot, stroke, upper, lower })
    }
}

/// A figure of one or two digits, not zero.
fn figure(text: &str) -> Option<u32> {
    let good = (1..=2).contains(&text.len()) && text.bytes().all(|byte| byte.is_ascii_digit());
    text.parse().ok().filter(|figure| good && *figure > 0)
}

impl fmt::Display for Sign {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.circle.map_or("", Circle::letters))?;
        f.write_str(if self.dot { "." } else { "" })?;
        f.write_str(if self.stroke { "|" } else { "" })?;
        match (self.upper, self.lower) {
            (Some(upper), Some(lower)) => write!(f, "{upper}/{lower}"),
            (Some(upper), None) => write!(f, "{upper}"),
            _ => Ok(()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn typed_and_written_alike() {
        for text in [
            "O", "O|", "C", "C|", "rC", "rC|", "O.", "C.", "C.|", "O.|", "3", "2", "3/2", "C3",
            "C|3", "O3", "C2", "O2", "C|3/2", "6/4", "4/3",
        ] {
            assert_eq!(Sign::parse(text).map(|sign| sign.to_string()).as_deref(), Some(text));
        }
        assert_eq!(Sign::parse("C|.").unwrap().to_string(), "C.|");
    }

    #[test]
    fn small_letters_are_letters_too() {
        for (text, sign) in [("c", "C"), ("c|", "C|"), ("o3", "O3"), ("rc", "rC"), ("Rc|", "rC|")] {
            assert_eq!(Sign::parse(text).unwrap().to_string(), sign);
        }
    }

    #[test]
    fn what_is_no_sign() {
        for text in
            ["", ".", "|", "r", "C/", "3/", "/2", "0", "C0", "3/2/1", "C||", "100", "C 3", "-1"]
        {
            assert_eq!(Sign::parse(text), None, "{text}");
        }
    }
}
