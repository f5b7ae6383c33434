//! What the signs say: which values are perfect, and in what proportion to the minim of the grid
//! they stand. `docs/mensuration.md` has the same as a table, with the sources.

use rudiments::{Circle, Mensuration, Proportion, Sign, Value};

use super::questions::{Question, Readings, Triple};

/// What a voice counts by.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) struct InForce {
    /// The last sign that has a circle.
    pub(super) circle: Option<Sign>,
    /// What that sign says, whatever figures stand after it.
    of_circle: Counting,
    now: Counting,
    /// Whether a figure 3 is in force.
    pub(super) triple: bool,
    /// Whether the editor's ratio is in force, other than 1:1.
    pub(super) by_ratio: bool,
}

/// Perfection and proportion.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
struct Counting {
    mensuration: Mensuration,
    proportion: Proportion,
}

/// A practice in which signs are read.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub(super) struct Practice {
    pub(super) readings: Readings,
    /// Whether some voices have a stroke where others have none.
    pub(super) strokes_differ: bool,
    /// Whether some voices have a dot of prolation where others have none.
    pub(super) dots_differ: bool,
}

/// A proportion whose figures are too large.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) struct TooLarge;

impl InForce {
    /// Plain counting, before any sign.
    pub(super) fn beginning() -> InForce {
        let plain = Counting { mensuration: Mensuration::IMPERFECT, proportion: Proportion::EQUAL };
        InForce { circle: None, of_circle: plain, now: plain, triple: false, by_ratio: false }
    }

    pub(super) fn mensuration(&self) -> Mensuration {
        self.now.mensuration
    }

    pub(super) fn proportion(&self) -> Proportion {
        self.now.proportion
    }

    /// After the editor's ratio, which is absolute. Right after a sign it says all that its
    /// figures say.
    pub(super) fn after_ratio(mut self, ratio: Proportion, right_after_sign: bool) -> InForce {
        self.now.proportion = ratio;
        self.by_ratio = !ratio.is_equal();
        if right_after_sign {
            self.now.mensuration = self.of_circle.mensuration;
        }
        self
    }

    /// After `perfect` or `imperfect`.
    pub(super) fn after_perfection(mut self, value: Value, perfect: bool) -> InForce {
        self.now.mensuration = self.now.mensuration.with(value, perfect);
        self
    }

    /// After a sign, and what of its reading is divided.
    ///
    /// A circle says all anew. Figures alone are compared with the circle in force, not with
    /// figures before them; but a fraction below one takes back a proportion, and a 2 after a 3
    /// ends it.
    pub(super) fn after_sign(
        self,
        sign: Sign,
        practice: Practice,
    ) -> Result<(InForce, Vec<Question>), TooLarge> {
        let mut questions = Vec::new();
        let mut next = self;
        if let Some(circle) = sign.circle {
            next.circle = Some(Sign { upper: None, lower: None, ..sign });
            next.of_circle = of_circle(circle, sign, practice, &mut questions);
        }
        next.now = next.of_circle;
        (next.triple, next.by_ratio) = (false, false);
        match (sign.upper, sign.lower) {
            (None, _) => {}
            (Some(3), None | Some(1 | 2)) => {
                let question =
                    if sign.lower.is_some() { Question::Fraction } else { Question::Triple };
                questions.push(question);
                next.triple = true;
                next.now = triple(next, sign, practice.readings)?;
            }
            (Some(2), None | Some(1)) if self.triple && sign.circle.is_none() => {}
            (Some(upper), lower) => {
                if lower.is_none() {
                    questions.push(Question::Figure);
                }
                let nothing = lower.is_none() && practice.readings.of(Question::Figure) == 1;
                let ratio = Proportion::new(upper, lower.unwrap_or(1)).ok_or(TooLarge)?;
                let takes_back = ratio.many() < ratio.in_time_of() && sign.circle.is_none();
                let with = if takes_back { self.now.proportion } else { next.of_circle.proportion };
                if !nothing {
                    next.now.proportion = together(with, ratio)?;
                }
            }
        }
        Ok((next, questions))
    }
}

/// Perfection and proportion by the circle, its dot and stroke.
fn of_circle(
    circle: Circle,
    sign: Sign,
    practice: Practice,
    questions: &mut Vec<Question>,
) -> Counting {
    let mensuration = Mensuration::IMPERFECT
        .with(Value::Breve, circle.is_perfect())
        .with(Value::Semibreve, sign.dot);
    let mut proportion = Proportion::EQUAL;
    if circle == Circle::Reversed {
        questions.push(Question::Reversed);
        proportion = match practice.readings.of(Question::Reversed) {
            0 => Proportion::DUPLA,
            1 => Proportion::EQUAL,
            _ => Proportion::SESQUITERTIA,
        };
    }
    if sign.stroke && practice.strokes_differ {
        questions.push(Question::Stroke);
        if practice.readings.of(Question::Stroke) == 1 {
            proportion = proportion.and(Proportion::DUPLA);
        }
    }
    if sign.dot && practice.dots_differ {
        questions.push(Question::Augmentation);
        if practice.readings.of(Question::Augmentation) == 1 {
            proportion = proportion.and(Proportion::SUBDUPLA);
        }
    }
    Counting { mensuration, proportion }
}

/// Perfection and proportion by a figure 3.
///
/// The minims go in threes, and the semibreve is perfect, under `C` and in `C3/2`; the semibreves
/// do, and the breve is perfect, under a full circle or a stroke and in `C3`. A value that is
/// perfect by the circle stays so, and is the only one.
fn triple(next: InForce, sign: Sign, readings: Readings) -> Result<Counting, TooLarge> {
    let reading = readings.triple(sign);
    let ratio = match (sign.lower, reading) {
        (Some(1), _) | (None, Triple::Tripla | Triple::TriplaImperfect) => Proportion::TRIPLA,
        _ => Proportion::SESQUIALTERA,
    };
    let stroke = next.circle.is_some_and(|circle| circle.stroke);
    let usual = if stroke || (sign.circle.is_some() && sign.lower.is_none()) {
        Value::Breve
    } else {
        Value::Semibreve
    };
    let other = if usual == Value::Breve { Value::Semibreve } else { Value::Breve };
    let of_circle = next.of_circle.mensuration;
    let mensuration = match reading {
        Triple::Imperfect | Triple::TriplaImperfect => Mensuration::IMPERFECT,
        Triple::Sesquialtera | Triple::Tripla if !of_circle.is_imperfect() => of_circle,
        Triple::Sesquialtera | Triple::Tripla => Mensuration::IMPERFECT.with(usual, true),
        Triple::OtherPerfect if of_circle.is_perfect(Value::Breve) => {
            Mensuration::IMPERFECT.with(Value::Semibreve, true)
        }
        Triple::OtherPerfect if of_circle.is_perfect(Value::Semibreve) => {
            Mensuration::IMPERFECT.with(Value::Breve, true)
        }
        Triple::OtherPerfect => Mensuration::IMPERFECT.with(other, true),
    };
    Ok(Counting { mensuration, proportion: together(next.of_circle.proportion, ratio)? })
}

/// Two proportions at once, if their figures stay small.
fn together(one: Proportion, other: Proportion) -> Result<Proportion, TooLarge> {
    if one.is_equal() {
        return Ok(other);
    }
    let both = one.and(other);
    Proportion::new(both.many(), both.in_time_of()).ok_or(TooLarge)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sign(text: &str) -> Sign {
        Sign::parse(text).unwrap_or_else(|| panic!("{text}"))
    }

    /// What is in force after these signs, by the common reading.
    fn after(signs: &[&str]) -> InForce {
        signs.iter().fold(InForce::beginning(), |in_force, text| {
            in_force.after_sign(sign(text), Practice::default()).unwrap().0
        })
    }

    fn shown(in_force: InForce) -> String {
        format!("{} {}", in_force.mensuration(), in_force.proportion())
    }

    /// `docs/mensuration.md` has a row for every reading, and says what is done.
    #[test]
    fn the_table_in_the_document_is_what_is_done() {
        let page = include_str!("../../../../docs/mensuration.md");
        let table = page.lines().skip_while(|line| !line.starts_with("| sign |")).skip(2);
        let mut rows = 0;
        for row in table.take_while(|line| line.starts_with('|')) {
            let row =
                row.replace("<code>", "`").replace("</code>", "`").replace("&#124;", "\u{a6}");
            let cells: Vec<&str> = row.split('|').map(str::trim).collect();
            let named: Vec<String> = cells[1]
                .split('`')
                .skip(1)
                .step_by(2)
                .map(|sign| sign.replace('\u{a6}', "|"))
                .collect();
            let signs: Vec<&str> = named.iter().rev().map(String::as_str).collect();
            let perfect = match cells[2] {
                "none" => "imperfect".to_owned(),
                values => format!("perfect {values}"),
            };
            assert_eq!(shown(after(&signs)), format!("{perfect} {}", cells[3]), "{row}");
            assert!(!cells[4].is_empty(), "{row} has no source");
            rows += 1;
        }
        assert!(rows >= 20, "{rows}");
    }

    /// Every sign in the table whose reading is divided asks a question, and no other.
    #[test]
    fn divided_signs_ask() {
        let practice = Practice { strokes_differ: true, dots_differ: true, ..Practice::default() };
        let asks = |text: &str| InForce::beginning().after_sign(sign(text), practice).unwrap().1;
        for text in ["C", "O", "4/3", "3/4"] {
            assert_eq!(asks(text), [], "{text}");
        }
        assert_eq!(asks("C|"), [Question::Stroke]);
        assert_eq!(asks("O."), [Question::Augmentation]);
        assert_eq!(asks("C.|"), [Question::Stroke, Question::Augmentation]);
        assert_eq!(asks("rC"), [Question::Reversed]);
        assert_eq!(asks("3"), [Question::Triple]);
        assert_eq!(asks("C|3"), [Question::Stroke, Question::Triple]);
        assert_eq!(asks("3/2"), [Question::Fraction]);
        assert_eq!(asks("C2"), [Question::Figure]);
    }

    #[test]
    fn a_circle_says_all_anew() {
        assert_eq!(shown(after(&["O", "3", "C"])), "imperfect 1:1");
        assert_eq!(shown(after(&["C", "3/2", "3/2"])), "perfect sb 3:2");
        assert_eq!(shown(after(&["O", "3", "O3"])), "perfect br 3:2");
    }

    #[test]
    fn proportions_are_taken_back() {
        assert_eq!(shown(after(&["C", "3/2", "2/3"])), "imperfect 1:1");
        assert_eq!(shown(after(&["O", "3", "2"])), "perfect br 1:1");
        assert_eq!(shown(after(&["C", "2", "1/2"])), "imperfect 1:1");
    }

    #[test]
    fn figures_may_be_too_large() {
        let practice = Practice::default();
        assert_eq!(InForce::beginning().after_sign(sign("99"), practice), Err(TooLarge));
        let fine = after(&["1/64"]);
        assert_eq!(fine.after_sign(sign("1/2"), practice), Err(TooLarge));
    }
}
