//! A cadence in a line, so that analyses can be compared.

use std::fmt;

use counterpoint::study::Numbers;
use counterpoint::study::cadences::{Cadence, EvadedBy, Role};
use rudiments::Time;
use score::Score;

/// A cadence: when it is prepared, dissonant, resolved, and at its goal; the goal and its degree; the
/// kind with the roles of the two lowest voices, the lower first; numbers; level; voices; what else
/// there is.
///
/// `1 2 3 4 D/1 seventh(tenorizans-cantizans) 7-6 semibreve c=Cantus t=Tenor`
#[derive(Clone, Debug, Default)]
#[allow(missing_docs)]
pub struct Told {
    pub preparation: Option<Time>,
    pub dissonance: Option<Time>,
    pub resolution: Time,
    pub at: Time,
    pub goal: String,
    pub degree: i32,
    pub kind: &'static str,
    pub pair: Option<[Option<&'static str>; 2]>,
    pub numbers: Option<&'static str>,
    pub level: &'static str,
    /// Each with its initial and its voice.
    pub roles: Vec<(char, String)>,
    pub phrygian: bool,
    pub evaded_by: Option<&'static str>,
    pub ornaments: Vec<&'static str>,
    pub plagal: Option<Time>,
}

impl fmt::Display for Told {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let time = |time: Option<Time>| time.map_or("-".to_owned(), |time| time.to_string());
        let (preparation, dissonance) = (time(self.preparation), time(self.dissonance));
        write!(f, "{preparation} {dissonance} {} {} ", self.resolution, self.at)?;
        write!(f, "{}/{} {}", self.goal, self.degree, self.kind)?;
        if let Some([low, high]) = self.pair {
            write!(f, "({}-{})", low.unwrap_or("-"), high.unwrap_or("-"))?;
        }
        write!(f, " {} {}", self.numbers.unwrap_or("-"), self.level)?;
        for (role, voice) in &self.roles {
            write!(f, " {role}={voice}")?;
        }
        if self.phrygian {
            write!(f, " phrygian")?;
        }
        if let Some(by) = self.evaded_by {
            write!(f, " evaded-by-{by}")?;
        }
        for ornament in &self.ornaments {
            write!(f, " {ornament}")?;
        }
        self.plagal.map_or(Ok(()), |plagal| write!(f, " plagal-{plagal}"))
    }
}

/// A cadence of the program, in a line.
pub fn told(cadence: &Cadence, score: &Score) -> Told {
    let roles = [Role::Cantizans, Role::Tenorizans, Role::Bassizans, Role::Altizans];
    let voice = |role: Role| {
        let name = &score.voices[cadence.roles.of(role)?.voice].name;
        Some((role.name().chars().next()?, name.clone()))
    };
    let goal = cadence.goal;
    let sign = match goal.alteration {
        0 => "",
        1 => "#",
        -1 => "b",
        _ => "?",
    };
    Told {
        preparation: cadence.preparation,
        dissonance: cadence.dissonance,
        resolution: cadence.resolution,
        at: cadence.at,
        goal: format!("{}{sign}", goal.tone.step),
        degree: cadence.degree.map_or(0, i32::from),
        kind: cadence.kind.name(),
        pair: cadence.pair.map(|pair| pair.map(|role| role.map(Role::name))),
        numbers: cadence.suspension.map(Numbers::name),
        level: cadence.level.name(),
        roles: roles.into_iter().filter_map(voice).collect(),
        phrygian: cadence.phrygian,
        evaded_by: cadence.evaded_by.map(EvadedBy::name),
        ornaments: cadence.ornaments.iter().map(|ornament| ornament.word()).collect(),
        plagal: cadence.plagal,
    }
}
