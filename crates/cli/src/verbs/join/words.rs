//! The answers of `join` as musicians say them.

use std::fmt::Write as _;

use cartella::invention::{Quality, Steps};
use cartella::{Joined, KINDS, Meanwhile, Model, Place, Time};

use crate::columns::set;
use crate::report::counted;
use crate::verbs::imitate::sounding;

/// What is said where nothing is found.
pub(super) const NONE: &str = "the second pair cannot enter without a fault";

/// `bar 7, minim 1`: bars are breves.
fn place(at: Time) -> String {
    let breve = Time::minims(4);
    let minim = at.within(breve) + Time::minims(1);
    format!("bar {}, minim {}", at.whole(breve) + 1, minim.spoken())
}

/// `8 below, exact`, `5 above, exact with B flat`.
fn degree(joined: &Joined) -> String {
    let mut signs: Vec<String> = Vec::new();
    for sign in &joined.signs {
        let name = sounding(sign.pitch);
        if !signs.contains(&name) {
            signs.push(name);
        }
    }
    let quality = match (joined.quality, signs.as_slice()) {
        (Quality::Steps, _) => "in steps".to_owned(),
        (Quality::Exact, []) => "exact".to_owned(),
        (Quality::Exact, signs) => format!("exact with {}", signs.join(" and ")),
    };
    let moved = match joined.steps {
        0 => "on its own degree".to_owned(),
        steps => Steps(steps).to_string(),
    };
    format!("{moved}, {quality}")
}

/// With which note it enters, and on which side of the first pair it lies on average.
fn entering(joined: &Joined) -> String {
    let side = if joined.above { "above" } else { "below" };
    let over = match joined.makes {
        None => return "as the lowest".to_owned(),
        Some(1) => "in unison with",
        Some(8) => "an octave over",
        Some(3) => "a third over",
        Some(5) => "a fifth over",
        Some(_) => "a sixth over",
    };
    format!("{side}, {over} the lowest")
}

fn meanwhile(joined: &Joined) -> &'static str {
    match joined.meanwhile {
        Meanwhile::Holds => "the first pair holds",
        Meanwhile::GoesOn => "the first pair goes on",
        Meanwhile::Rests => "the first pair rests",
    }
}

/// `seventh on D, clausula vera`.
fn cadence(joined: &Joined) -> String {
    let Some(cadence) = &joined.cadence else { return "no cadence".to_owned() };
    format!("{} on {}, {}", cadence.kind.name(), cadence.goal.tone.step, cadence.name())
}

fn bridge(joined: &Joined) -> Option<String> {
    joined.bridge.map(|minims| format!("after a bridge of {}", counted(minims as usize, "minim")))
}

fn remarks(joined: &Joined) -> String {
    let mut said: Vec<&str> = Vec::new();
    for (rule, _) in &joined.remarks {
        if !said.contains(&rule.name()) {
            said.push(rule.name());
        }
    }
    said.join(", ").replace('-', " ")
}

/// All that was found.
pub(super) fn joinings(found: &[Joined]) -> String {
    if found.is_empty() {
        return format!("{NONE}\n");
    }
    let lines = (1..).zip(found).map(|(rank, joined): (usize, &Joined)| {
        vec![
            format!("{rank:>3}"),
            joined.place.to_string(),
            place(joined.at),
            degree(joined),
            entering(joined),
            [Some(meanwhile(joined).to_owned()), bridge(joined)]
                .into_iter()
                .flatten()
                .collect::<Vec<String>>()
                .join(" "),
            cadence(joined),
            remarks(joined),
        ]
    });
    let heading = "where the second pair can enter, the best first\n\n".to_owned();
    heading + &set(&lines.collect::<Vec<Vec<String>>>())
}

/// The title of one that is written out.
pub(super) fn title(joined: &Joined) -> String {
    format!("Two pairs joined: the second enters {}", joined.place)
}

/// Why it is as it is, as the editor's notes.
pub(super) fn reasons(joined: &Joined) -> Vec<String> {
    let entry = format!(
        "the second pair is {}; it enters in {}, {}",
        degree(joined),
        place(joined.at),
        entering(joined)
    );
    let mut first = meanwhile(joined).to_owned();
    if let Some(bridge) = bridge(joined) {
        let _ = write!(first, " {bridge}");
    }
    let mut reasons = vec![entry, first, format!("cadence: {}", cadence(joined))];
    let remarks = remarks(joined);
    if !remarks.is_empty() {
        reasons.push(format!("remarked: {remarks}"));
    }
    reasons
}

/// The title of a model.
pub(super) fn of_model(model: &Model) -> String {
    let shape = if model.rising { "Rising" } else { "Falling" };
    let side = if model.above { "above" } else { "below" };
    format!(
        "{shape}; cadence by the {}; the second pair {side}, {}",
        model.kind.name(),
        model.place
    )
}

/// The table of models: for each kind of cadence and each place, how the second pair is moved, and how
/// long the bridge is.
pub(super) fn patterns(models: &[Model]) -> String {
    let mut text = String::from(
        "how a stepwise pair is joined with itself: where the second pair lies, and the minims of the \
         bridge\n",
    );
    for rising in [true, false] {
        for above in [true, false] {
            let shape = if rising { "rising" } else { "falling" };
            let side = if above { "above" } else { "below" };
            let _ = writeln!(text, "\n{shape}, the second pair {side}");
            let mut head = vec![String::new()];
            head.extend(KINDS.map(|kind| kind.name().to_owned()));
            let mut lines = vec![head];
            for place in Place::NAMED {
                let mut line = vec![place.to_string()];
                line.extend(KINDS.map(|kind| {
                    let is_it = |model: &&Model| {
                        (model.rising, model.above, model.kind, model.place)
                            == (rising, above, kind, place)
                    };
                    let model = models.iter().find(is_it).and_then(|one| one.joining.as_ref());
                    model.map_or("–".to_owned(), |(_, joined)| {
                        let moved = match joined.steps {
                            0 => "unison".to_owned(),
                            steps => Steps(steps).to_string(),
                        };
                        format!("{moved}, {}", joined.bridge.unwrap_or(0))
                    })
                }));
                lines.push(line);
            }
            text += &set(&lines);
        }
    }
    text + NO_WAY
}

/// Why places of the table are empty.
const NO_WAY: &str = "
\u{2013}: no way is found. In the fifth the entering voice has a part: none enters upon its goal or later. On
the cadential semibreve of the second, what enters above clashes with the suspended note or its
resolution, and what enters below makes another cadence.
";
