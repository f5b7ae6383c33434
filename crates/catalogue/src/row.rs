//! What is worth knowing of one example.

use cartella::{
    Aligned, Cleffing, EventId, Meeting, ModeEvidence, Plan, Proposed, Role, Study,
    SuspensionNumbers, TimedEvent, Weight,
};
use serde::{Deserialize, Serialize};

use crate::melody::Note;
use crate::minims::Minims;

/// What is worth knowing of one example. Times are in minims from its beginning.
#[derive(Clone, PartialEq, Debug, Default, Serialize, Deserialize)]
pub struct Row {
    /// Its name, in a file of several.
    pub example: Option<String>,
    /// Its title.
    pub title: Option<String>,
    /// Where it is printed.
    pub source: Option<String>,
    /// The editor's keywords.
    pub topics: Vec<String>,
    /// Its voices, from the top.
    pub voices: Vec<Voice>,
    /// The signature of most voices, as it is typed: `none`, `Bb`.
    pub signature: String,
    /// The sign of the highest voice that has one.
    pub sign: Option<String>,
    /// How many bars it has.
    pub bars: u32,
    /// How long it is.
    pub length: Minims,
    /// How many voices sound at once, where any does: the fewest and the most. Rests of less than a
    /// semibreve are passed over.
    pub sounding: (usize, usize),
    /// The step on which it ends.
    pub last: Option<String>,
    /// The system: `durus`, `mollis`, `fictus`, `mixed`.
    pub system: String,
    /// The mode that is proposed; two where it may be either, none where it cannot be told.
    pub modes: Vec<u8>,
    /// The combination of clefs, `low` or `high`, if it is one.
    pub clefs: Option<String>,
    /// Its subjects.
    pub subjects: Vec<Subject>,
    /// The entries of all subjects, in order of time.
    pub entries: Vec<Entry>,
    /// Voices that follow another throughout.
    pub canons: Vec<Canon>,
    /// Two voices that enter one after the other.
    pub pairs: Vec<Pair>,
    /// The cadences, in order of time.
    pub cadences: Vec<Cadence>,
    /// How many faults the rules find.
    pub faults: usize,
    /// How many sonorities have an untreated dissonance.
    pub untreated: usize,
    /// How many errors are in its text, and in how it is counted.
    pub errors: usize,
}

/// A voice.
#[derive(Clone, PartialEq, Debug, Default, Serialize, Deserialize)]
pub struct Voice {
    /// Its name.
    pub name: String,
    /// Its clef, as it is typed.
    pub clef: String,
    /// Its notes, in order of time. They are stored apart from the row: see [`Row::melodies`].
    #[serde(skip)]
    pub notes: Vec<Note>,
}

/// A subject.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Subject {
    /// The voice that has it first, as a place in [`Row::voices`].
    pub voice: usize,
    /// The printed numbers of its first and last note.
    pub numbers: (Option<u32>, Option<u32>),
    /// Staff steps from each note to the next.
    pub steps: Vec<i32>,
    /// The values of its notes as they are typed, `sb.` with a dot.
    pub values: Vec<String>,
    /// Whether the head of the piece names it.
    pub named: bool,
}

/// An entry of a subject.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Entry {
    /// The subject, as a place in [`Row::subjects`].
    pub subject: usize,
    /// The voice, as a place in [`Row::voices`].
    pub voice: usize,
    /// The printed numbers of its first and last note.
    pub numbers: (Option<u32>, Option<u32>),
    /// When it begins.
    pub at: Minims,
    /// In which bar it begins, and in which it ends.
    pub bars: (u32, u32),
    /// From the entry before it: steps, delay.
    pub before: Option<(i32, Minims)>,
    /// From the model: steps, delay.
    pub model: Option<(i32, Minims)>,
    /// `direct`, `inverted`, `augmented`, `diminished`.
    pub form: String,
    /// `exact`, `steps`, `head`; nothing for the model.
    pub quality: Option<String>,
    /// How many notes it has.
    pub notes: usize,
    /// How many minims before the end of the entry before it it begins, if it does.
    pub overlap: Option<Minims>,
}

/// A voice that follows another throughout.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Canon {
    /// The voice that is followed, and the one that follows, as places in [`Row::voices`].
    pub voices: (usize, usize),
    /// Staff steps up to the one that follows.
    pub steps: i32,
    /// How many minims later it begins.
    pub delay: Minims,
    /// `direct`, `inverted`, `augmented`, `diminished`.
    pub form: String,
    /// The printed numbers of the first and last note that follow.
    pub numbers: (Option<u32>, Option<u32>),
    /// In which bar it begins, and in which it ends.
    pub bars: (u32, u32),
}

/// Two voices that enter one after the other.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Pair {
    /// Both entries, as places in [`Row::entries`].
    pub entries: (usize, usize),
    /// Whether no other voice begins a note meanwhile.
    pub alone: bool,
    /// How it answers a pair before it: steps, delay.
    pub answers: Option<(i32, Minims)>,
}

/// A cadence.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Cadence {
    /// When its goal is reached.
    pub at: Minims,
    /// In which bar that is.
    pub bar: u32,
    /// The goal without its octave: `G`, `Bb`.
    pub goal: String,
    /// Which degree of the final it is, from 1.
    pub degree: Option<u8>,
    /// The interval of the two lowest voices: `second`, `seventh`, `fourth`, `fifth`, `other`,
    /// `none` without a suspension.
    pub kind: String,
    /// What it is called: `clausula vera`, `leaping`, `Phrygian`, `evaded` …
    pub name: String,
    /// Whether it is in *mi*.
    pub phrygian: bool,
    /// By what it is evaded.
    pub evaded_by: Option<String>,
    /// The numbers of its suspension: `7-6`.
    pub suspension: Option<String>,
    /// The voices of cantizans, tenorizans, bassizans and altizans, as places in [`Row::voices`].
    pub roles: [Option<usize>; 4],
    /// The entries upon it.
    pub upon: Vec<Upon>,
}

/// An entry upon a cadence.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Upon {
    /// The entry, as a place in [`Row::entries`].
    pub entry: usize,
    /// How many minims before the goal it begins; negative after it.
    pub before_goal: Minims,
    /// How many minims after the beginning of the cadence's semibreve; negative before it.
    pub after_semibreve: Option<Minims>,
}

impl Row {
    /// What a study says of an example.
    pub fn of(aligned: &Aligned<'_>, study: &Study) -> Row {
        Reader { aligned, study }.row()
    }

    /// The notes of its voices. They are most of what is known of an example, but few questions ask for
    /// them, so they are stored apart from it.
    pub fn melodies(&self) -> Vec<&[Note]> {
        self.voices.iter().map(|voice| voice.notes.as_slice()).collect()
    }

    /// The row with the notes of its voices, where they were stored apart from it.
    #[must_use]
    pub fn with_melodies(mut self, melodies: Vec<Vec<Note>>) -> Row {
        for (voice, notes) in self.voices.iter_mut().zip(melodies) {
            voice.notes = notes;
        }
        self
    }

    /// The name of a voice.
    pub fn name(&self, voice: usize) -> &str {
        self.voices.get(voice).map_or("", |voice| voice.name.as_str())
    }
}

struct Reader<'s> {
    aligned: &'s Aligned<'s>,
    study: &'s Study,
}

impl Reader<'_> {
    fn row(&self) -> Row {
        let score = &self.aligned.score;
        let head = &self.aligned.example().piece().head;
        let heading = &score.heading;
        let mode = &self.study.mode;
        let plan = Plan::of(score);
        let sounding =
            plan.texture().into_iter().map(|(_, count)| count).filter(|count| *count > 0);
        let (least, most) = sounding
            .fold((usize::MAX, 0), |(least, most), count| (least.min(count), most.max(count)));
        let faults = self.study.findings.iter().filter(|found| found.severity == Weight::Fault);
        let errors = self.aligned.diagnostics.iter().filter(|found| found.is_error());
        Row {
            example: heading.example.clone(),
            title: heading.title.clone(),
            source: heading.source.clone(),
            topics: head.topics().map(str::to_owned).collect(),
            voices: (0..score.voices.len()).map(|voice| self.voice(voice)).collect(),
            signature: self.signature(),
            sign: score.voices.iter().find_map(|voice| Some(voice.sign?.to_string())),
            bars: score.bars.len() as u32,
            length: Minims(score.length),
            sounding: (least.min(most), most),
            last: mode.last.map(|last| last.pitch.tone.step.to_string()),
            system: mode.system.word().to_owned(),
            modes: match mode.proposed {
                Proposed::Mode(mode) => vec![mode.number()],
                Proposed::Either(one, other) => vec![one.number(), other.number()],
                Proposed::TooShort(_) | Proposed::NoSuchFinal => Vec::new(),
            },
            clefs: mode.evidence.iter().find_map(|found| match found {
                ModeEvidence::Clefs(Cleffing::Low) => Some("low".to_owned()),
                ModeEvidence::Clefs(Cleffing::High) => Some("high".to_owned()),
                _ => None,
            }),
            subjects: self.subjects(),
            entries: self.entries(),
            canons: self.canons(),
            pairs: self.pairs(),
            cadences: self.cadences(),
            faults: faults.count(),
            untreated: self.study.dissonances.untreated,
            errors: errors.count(),
        }
    }

    /// The signature of most voices; of those that are as frequent, that of the highest.
    fn signature(&self) -> String {
        let voices = &self.aligned.score.voices;
        let count = |one| voices.iter().filter(|voice| voice.signature == one).count();
        let most = voices.iter().rev().map(|voice| voice.signature).max_by_key(|one| count(*one));
        most.map_or_else(String::new, |signature| signature.to_string())
    }

    fn voice(&self, voice: usize) -> Voice {
        let timed = &self.aligned.score.voices[voice];
        let notes = timed.events.iter().filter_map(|event| {
            let sounded = event.notes.first()?;
            Some(Note {
                rung: sounded.pitch.tone.rung(),
                at: Minims(event.onset),
                length: Minims(event.length),
                number: event.index,
                bar: self.bar(event),
            })
        });
        Voice { name: timed.name.clone(), clef: timed.clef.to_string(), notes: notes.collect() }
    }

    fn bar(&self, event: &TimedEvent) -> u32 {
        self.aligned.score.bar_at(event.onset).map_or(0, |bar| bar.number)
    }

    fn event(&self, id: EventId) -> Option<&TimedEvent> {
        self.aligned.score.voices.get(id.voice)?.events.get(id.event)
    }

    /// The printed numbers of two notes, and the bars in which they begin.
    #[allow(clippy::type_complexity)]
    fn run(&self, first: EventId, last: EventId) -> ((Option<u32>, Option<u32>), (u32, u32)) {
        let number = |id| self.event(id).and_then(|event| event.index);
        let bar = |id| self.event(id).map_or(0, |event| self.bar(event));
        ((number(first), number(last)), (bar(first), bar(last)))
    }

    fn subjects(&self) -> Vec<Subject> {
        let subjects = self.study.imitations.subjects.iter().filter_map(|subject| {
            let (first, last) = (*subject.notes.first()?, *subject.notes.last()?);
            let events = subject.notes.iter().filter_map(|id| self.event(*id));
            let value = |event: &TimedEvent| {
                let dot = if event.dotted { "." } else { "" };
                format!("{}{dot}", event.value.letters())
            };
            Some(Subject {
                voice: first.voice,
                numbers: self.run(first, last).0,
                steps: subject.shape.clone(),
                values: events.map(value).collect(),
                named: subject.named,
            })
        });
        subjects.collect()
    }

    fn entries(&self) -> Vec<Entry> {
        let entries = self.study.imitations.entries.iter().map(|entry| {
            let (numbers, bars) = self.run(entry.first, entry.last);
            let relation =
                |one: Option<cartella::Relation>| one.map(|one| (one.steps, Minims(one.delay)));
            Entry {
                subject: entry.subject,
                voice: entry.first.voice,
                numbers,
                at: Minims(entry.onset),
                bars,
                before: relation(entry.before),
                model: relation(entry.model),
                form: entry.form.name().to_owned(),
                quality: entry.model.map(|_| entry.quality.name().to_owned()),
                notes: entry.notes,
                overlap: match entry.meeting {
                    Some(Meeting::Close(overlap)) => Some(Minims(overlap)),
                    Some(Meeting::After) | None => None,
                },
            }
        });
        entries.collect()
    }

    fn canons(&self) -> Vec<Canon> {
        let canons = self.study.imitations.canons.iter().flat_map(|canon| {
            canon.followers.iter().map(|follower| {
                let (numbers, bars) = self.run(follower.first, follower.last);
                Canon {
                    voices: (canon.dux.voice, follower.first.voice),
                    steps: follower.steps,
                    delay: Minims(follower.delay),
                    form: follower.form.name().to_owned(),
                    numbers,
                    bars,
                }
            })
        });
        canons.collect()
    }

    fn pairs(&self) -> Vec<Pair> {
        let pairs = self.study.imitations.duos.iter().map(|duo| Pair {
            entries: (duo.first, duo.second),
            alone: duo.alone,
            answers: duo.answers.map(|answer| (answer.steps, Minims(answer.delay))),
        });
        pairs.collect()
    }

    fn cadences(&self) -> Vec<Cadence> {
        let cadences = self.study.cadences.iter().enumerate().map(|(number, cadence)| {
            let points = self.study.entry_points.iter().filter(|point| point.cadence == number);
            let goal = cadence.goal.to_string();
            Cadence {
                at: Minims(cadence.at),
                bar: self.aligned.score.bar_at(cadence.at).map_or(0, |bar| bar.number),
                goal: goal.trim_end_matches(|c: char| c.is_numeric() || c == '-').to_owned(),
                degree: cadence.degree,
                kind: cadence.kind.name().to_owned(),
                name: cadence.name().to_owned(),
                phrygian: cadence.phrygian,
                evaded_by: cadence.evaded_by.map(|by| by.name().to_owned()),
                suspension: cadence.suspension.map(SuspensionNumbers::name).map(str::to_owned),
                roles: Role::ALL.map(|role| cadence.roles.of(role).map(|event| event.voice)),
                upon: points
                    .map(|point| Upon {
                        entry: point.entry,
                        before_goal: Minims(point.before_goal),
                        after_semibreve: point.after_dissonance.map(Minims),
                    })
                    .collect(),
            }
        });
        cadences.collect()
    }
}
