//! A study as JSON.

use std::borrow::Cow;

use cartella::{Aligned, EventId, Meeting, Order, Role, Study, SubjectEntry, Time};
use serde::Serialize;

use super::place_of;
use crate::printed::Printed;
use crate::report::{Head, Source, json};

#[derive(Serialize)]
struct Answer<'s> {
    #[serde(flatten)]
    head: Head<'s>,
    title: Option<&'s str>,
    rules: &'static str,
    species: Vec<Exercise<'s>>,
    subjects: Vec<Subject<'s>>,
    entries: Vec<Entry<'s>>,
    imitations: Vec<Imitation<'s>>,
    pairs: Vec<Pair>,
    canons: Vec<Canon<'s>>,
    cadences: Vec<Cadence<'s>>,
    intervals: Vec<Together<'s>>,
    dissonances: Dissonances<'s>,
    findings: Vec<Finding<'s>>,
    mode: ModeAnswer,
    accidentals: Vec<Proposed<'s>>,
}

/// A note or rest, by its voice and printed number, and where it is typed.
#[derive(Serialize)]
struct Event<'s> {
    voice: &'s str,
    index: Option<u32>,
    line: Option<u32>,
    column: Option<u32>,
}

/// A voice that is counterpoint against a cantus firmus.
#[derive(Serialize)]
struct Exercise<'s> {
    voice: &'s str,
    cantus: &'s str,
    species: &'static str,
}

#[derive(Serialize)]
struct Subject<'s> {
    name: String,
    voice: &'s str,
    first: Option<u32>,
    last: Option<u32>,
    shape: &'s [i32],
    syllables: Vec<&'static str>,
    first_value: String,
    length: String,
    entries: Vec<usize>,
    named: bool,
}

#[derive(Serialize)]
struct Entry<'s> {
    subject: String,
    at: String,
    bar: Option<u32>,
    first: Event<'s>,
    last: Event<'s>,
    notes: usize,
    along: usize,
    form: &'static str,
    quality: Option<&'static str>,
    signs: Vec<String>,
    close: Option<bool>,
    overlap: Option<String>,
    before: Option<Relation>,
    model: Option<Relation>,
    shorter: bool,
}

/// How one entry stands to another, which is named by its place among them, from 1.
#[derive(Serialize)]
struct Relation {
    entry: usize,
    steps: i32,
    delay: String,
}

#[derive(Serialize)]
struct Imitation<'s> {
    from: Event<'s>,
    to: Event<'s>,
    steps: i32,
    delay: String,
    notes: usize,
    exact: usize,
    form: &'static str,
    quality: &'static str,
    signs: Vec<String>,
    close: bool,
    overlap: Option<String>,
    /// The place of the model among the entries, from 1; nothing in a canon.
    model: Option<usize>,
    subject: Option<String>,
}

#[derive(Serialize)]
struct Pair {
    first: usize,
    second: usize,
    alone: bool,
    answers: Option<PairAnswer>,
}

#[derive(Serialize)]
struct PairAnswer {
    pair: usize,
    steps: i32,
    delay: String,
    order: &'static str,
}

#[derive(Serialize)]
struct Canon<'s> {
    dux: &'s str,
    followers: Vec<Follower<'s>>,
}

#[derive(Serialize)]
struct Follower<'s> {
    voice: &'s str,
    steps: i32,
    delay: String,
    form: &'static str,
    quality: &'static str,
    notes: usize,
    exact: usize,
}

#[derive(Serialize)]
struct Cadence<'s> {
    at: String,
    bar: Option<u32>,
    pitch: String,
    degree: Option<u8>,
    kind: &'static str,
    name: &'static str,
    phrygian: bool,
    evaded: bool,
    evaded_by: Option<&'static str>,
    roles: Roles<'s>,
    pair: Option<[Option<&'static str>; 2]>,
    preparation: Option<String>,
    dissonance: Option<String>,
    resolution: String,
    level: &'static str,
    suspension: Option<&'static str>,
    plagal: Option<String>,
    entries: Vec<Point>,
}

/// The voice of each role; those that no voice has are left out.
#[derive(Serialize)]
struct Roles<'s> {
    #[serde(skip_serializing_if = "Option::is_none")]
    cantizans: Option<&'s str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    tenorizans: Option<&'s str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    bassizans: Option<&'s str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    altizans: Option<&'s str>,
}

/// An entry upon a cadence, by its place among the entries, from 1.
#[derive(Serialize)]
struct Point {
    entry: usize,
    before_goal: String,
    after_dissonance: Option<String>,
}

/// Two notes that sound together.
#[derive(Serialize)]
struct Together<'s> {
    at: String,
    bar: Option<u32>,
    voices: [&'s str; 2],
    index: [Option<u32>; 2],
    /// The number of the interval: 5 is a fifth, 12 a twelfth.
    interval: i32,
    semitones: i32,
    class: &'static str,
}

#[derive(Serialize)]
struct Dissonances<'s> {
    untreated: usize,
    simultaneities: usize,
    pairs: Vec<Dissonant<'s>>,
}

#[derive(Serialize)]
struct Dissonant<'s> {
    at: String,
    bar: Option<u32>,
    one: Event<'s>,
    other: Event<'s>,
    /// The number of the interval: 7 is a seventh.
    interval: i32,
    figure: &'static str,
    place: &'static str,
    judgement: Option<&'static str>,
}

#[derive(Serialize)]
struct Finding<'s> {
    rule: &'static str,
    severity: &'static str,
    voices: Vec<&'s str>,
    at: String,
    bar: Option<u32>,
    /// The minim of the bar, from 1.
    minim: Option<String>,
    events: Vec<Event<'s>>,
    text: String,
}

#[derive(Serialize)]
struct ModeAnswer {
    #[serde(rename = "final")]
    last: Option<String>,
    /// The mode that is proposed; nothing where two are, or none.
    mode: Option<u8>,
    modes: Vec<u8>,
    system: &'static str,
    proposal: String,
    evidence: Vec<String>,
}

#[derive(Serialize)]
struct Proposed<'s> {
    voice: &'s str,
    index: Option<u32>,
    line: Option<u32>,
    column: Option<u32>,
    at: String,
    bar: Option<u32>,
    sign: &'static str,
    pitch: String,
    certain: bool,
    reason: &'static str,
    doubt: Option<&'static str>,
}

/// All that a study says.
pub(super) fn answer<'s>(
    aligned: &'s Aligned<'_>,
    study: &'s Study,
    file: Option<Cow<'s, str>>,
    source: &'s Source<'_>,
) -> Printed {
    let teller = Teller { aligned, study, source };
    let heading = &aligned.score.heading;
    let findings = study.findings.iter().map(|found| teller.finding(found));
    let pairs = study.dissonances.pairs.iter().map(|pair| teller.dissonant(pair));
    let found = &study.imitations;
    json(&Answer {
        head: Head::new(file, aligned.example().name()),
        title: heading.title.as_deref(),
        rules: study.rules.name(),
        species: teller.species(),
        subjects: teller.subjects(),
        entries: found.entries.iter().map(|entry| teller.entry(entry)).collect(),
        imitations: teller.imitations(),
        pairs: teller.pairs(),
        canons: teller.canons(),
        cadences: teller.cadences(),
        intervals: study.intervals.iter().map(|heard| teller.interval(heard)).collect(),
        dissonances: Dissonances {
            untreated: study.dissonances.untreated,
            simultaneities: study.dissonances.simultaneities,
            pairs: pairs.collect(),
        },
        findings: findings.collect(),
        mode: teller.mode(),
        accidentals: teller.signs(),
    })
}

struct Teller<'s> {
    aligned: &'s Aligned<'s>,
    study: &'s Study,
    source: &'s Source<'s>,
}

fn subject_name(number: usize) -> String {
    format!("S{}", number + 1)
}

fn overlap(meeting: Option<Meeting>) -> Option<String> {
    match meeting? {
        Meeting::Close(overlap) => Some(overlap.to_string()),
        Meeting::After => None,
    }
}

impl<'s> Teller<'s> {
    fn voice(&self, event: EventId) -> &'s str {
        self.aligned.score.voices.get(event.voice).map_or("", |voice| voice.name.as_str())
    }

    fn event(&self, event: EventId) -> Event<'s> {
        let (index, place) = place_of(self.aligned, self.source, event);
        let (line, column) = place.unzip();
        Event { voice: self.voice(event), index, line, column }
    }

    fn bar(&self, at: Time) -> Option<u32> {
        self.aligned.score.bar_at(at).map(|bar| bar.number)
    }

    fn species(&self) -> Vec<Exercise<'s>> {
        let name = |voice: usize| {
            self.aligned.score.voices.get(voice).map_or("", |voice| voice.name.as_str())
        };
        let told = self.study.exercises.iter().map(|exercise| Exercise {
            voice: name(exercise.voice),
            cantus: name(exercise.cantus),
            species: exercise.species.name(),
        });
        told.collect()
    }

    fn subjects(&self) -> Vec<Subject<'s>> {
        let subjects = self.study.imitations.subjects.iter().enumerate();
        let subjects = subjects.filter_map(|(number, subject)| {
            let (first, last) = (*subject.notes.first()?, *subject.notes.last()?);
            let value = if subject.dotted { "dotted " } else { "" };
            Some(Subject {
                name: subject_name(number),
                voice: self.voice(first),
                first: self.event(first).index,
                last: self.event(last).index,
                shape: &subject.shape,
                syllables: subject.syllables.iter().map(|sung| sung.syllable.name()).collect(),
                first_value: format!("{value}{}", subject.first_value.name()),
                length: subject.length.to_string(),
                entries: subject.entries.iter().map(|entry| entry + 1).collect(),
                named: subject.named,
            })
        });
        subjects.collect()
    }

    fn entry(&self, entry: &SubjectEntry) -> Entry<'s> {
        let relation = |relation: Option<cartella::Relation>| {
            let cartella::Relation { entry, steps, delay } = relation?;
            Some(Relation { entry: entry + 1, steps, delay: delay.to_string() })
        };
        Entry {
            subject: subject_name(entry.subject),
            at: entry.onset.to_string(),
            bar: self.bar(entry.onset),
            first: self.event(entry.first),
            last: self.event(entry.last),
            notes: entry.notes,
            along: entry.along,
            form: entry.form.name(),
            quality: entry.model.map(|_| entry.quality.name()),
            signs: entry.signs.iter().map(ToString::to_string).collect(),
            close: entry.meeting.map(|meeting| matches!(meeting, Meeting::Close(_))),
            overlap: overlap(entry.meeting),
            before: relation(entry.before),
            model: relation(entry.model),
            shorter: entry.freedoms.shorter,
        }
    }

    /// Each entry from the one before it, and each voice that follows in a canon from its dux.
    fn imitations(&self) -> Vec<Imitation<'s>> {
        let found = &self.study.imitations;
        let of_entries = found.entries.iter().filter_map(|entry| {
            let before = entry.before?;
            Some(Imitation {
                from: self.event(found.entries[before.entry].first),
                to: self.event(entry.first),
                steps: before.steps,
                delay: before.delay.to_string(),
                notes: entry.notes,
                exact: entry.exact,
                form: entry.form.name(),
                quality: entry.quality.name(),
                signs: entry.signs.iter().map(ToString::to_string).collect(),
                close: matches!(entry.meeting, Some(Meeting::Close(_))),
                overlap: overlap(entry.meeting),
                model: entry.model.map(|model| model.entry + 1),
                subject: Some(subject_name(entry.subject)),
            })
        });
        let of_canons = found.canons.iter().flat_map(|canon| {
            canon.followers.iter().map(|follower| Imitation {
                from: self.event(canon.dux),
                to: self.event(follower.first),
                steps: follower.steps,
                delay: follower.delay.to_string(),
                notes: follower.notes,
                exact: follower.exact,
                form: follower.form.name(),
                quality: follower.quality.name(),
                signs: Vec::new(),
                close: true,
                overlap: None,
                model: None,
                subject: None,
            })
        });
        of_canons.chain(of_entries).collect()
    }

    fn pairs(&self) -> Vec<Pair> {
        let pairs = self.study.imitations.duos.iter().map(|duo| Pair {
            first: duo.first + 1,
            second: duo.second + 1,
            alone: duo.alone,
            answers: duo.answers.map(|answer| PairAnswer {
                pair: answer.duo + 1,
                steps: answer.steps,
                delay: answer.delay.to_string(),
                order: match answer.order {
                    Order::Same => "same",
                    Order::Exchanged => "exchanged",
                },
            }),
        });
        pairs.collect()
    }

    fn canons(&self) -> Vec<Canon<'s>> {
        let canons = self.study.imitations.canons.iter().map(|canon| {
            let followers = canon.followers.iter().map(|follower| Follower {
                voice: self.voice(follower.first),
                steps: follower.steps,
                delay: follower.delay.to_string(),
                form: follower.form.name(),
                quality: follower.quality.name(),
                notes: follower.notes,
                exact: follower.exact,
            });
            Canon { dux: self.voice(canon.dux), followers: followers.collect() }
        });
        canons.collect()
    }

    fn cadences(&self) -> Vec<Cadence<'s>> {
        let cadences = self.study.cadences.iter().enumerate().map(|(number, cadence)| {
            let of = |role: Role| cadence.roles.of(role).map(|event| self.voice(event));
            let points = self.study.entry_points.iter().filter(|point| point.cadence == number);
            Cadence {
                at: cadence.at.to_string(),
                bar: self.bar(cadence.at),
                pitch: cadence.goal.to_string().trim_end_matches(char::is_numeric).to_owned(),
                degree: cadence.degree,
                kind: cadence.kind.name(),
                name: cadence.name(),
                phrygian: cadence.phrygian,
                evaded: cadence.is_evaded(),
                evaded_by: cadence.evaded_by.map(cartella::EvadedBy::name),
                roles: Roles {
                    cantizans: of(Role::Cantizans),
                    tenorizans: of(Role::Tenorizans),
                    bassizans: of(Role::Bassizans),
                    altizans: of(Role::Altizans),
                },
                pair: cadence.pair.map(|pair| pair.map(|role| role.map(Role::name))),
                preparation: cadence.preparation.map(|at| at.to_string()),
                dissonance: cadence.dissonance.map(|at| at.to_string()),
                resolution: cadence.resolution.to_string(),
                level: cadence.level.name(),
                suspension: cadence.suspension.map(cartella::SuspensionNumbers::name),
                plagal: cadence.plagal.map(|at| at.to_string()),
                entries: points
                    .map(|point| Point {
                        entry: point.entry + 1,
                        before_goal: point.before_goal.to_string(),
                        after_dissonance: point.after_dissonance.map(|after| after.to_string()),
                    })
                    .collect(),
            }
        });
        cadences.collect()
    }

    fn interval(&self, heard: &cartella::SoundingInterval) -> Together<'s> {
        let notes = [heard.one, heard.other];
        let index =
            |id: EventId| self.aligned.score.voices.get(id.voice)?.events.get(id.event)?.index;
        Together {
            at: heard.at.to_string(),
            bar: self.bar(heard.at),
            voices: notes.map(|note| self.voice(note)),
            index: notes.map(index),
            interval: heard.steps + 1,
            semitones: heard.semitones,
            class: heard.consonance.name(),
        }
    }

    fn dissonant(&self, pair: &cartella::Dissonance) -> Dissonant<'s> {
        Dissonant {
            at: pair.at.to_string(),
            bar: self.bar(pair.at),
            one: self.event(pair.one),
            other: self.event(pair.other),
            interval: pair.steps + 1,
            figure: pair.figure.name(),
            place: pair.rank.name(),
            judgement: pair.judgement.map(cartella::Weight::name),
        }
    }

    fn finding(&self, found: &cartella::CounterpointFinding) -> Finding<'s> {
        let mut voices: Vec<&str> = found.events.iter().map(|event| self.voice(*event)).collect();
        voices.dedup();
        let bar = self.aligned.score.bar_at(found.at);
        let minim = bar.map(|bar| (found.at - bar.start + Time::minims(1)).to_string());
        Finding {
            rule: found.rule.name(),
            severity: found.severity.name(),
            voices,
            at: found.at.to_string(),
            bar: self.bar(found.at),
            minim,
            events: found.events.iter().map(|event| self.event(*event)).collect(),
            text: found.sentence(&self.aligned.score),
        }
    }

    fn mode(&self) -> ModeAnswer {
        let mode = &self.study.mode;
        let (one, modes) = match mode.proposed {
            cartella::Proposed::Mode(mode) => (Some(mode.number()), vec![mode.number()]),
            cartella::Proposed::Either(one, other) => (None, vec![one.number(), other.number()]),
            cartella::Proposed::TooShort(_) | cartella::Proposed::NoSuchFinal => (None, Vec::new()),
        };
        let evidence = mode.evidence.iter().map(|one| one.sentence(&self.aligned.score));
        ModeAnswer {
            last: mode.last.map(|last| last.pitch.tone.step.to_string()),
            mode: one,
            modes,
            system: mode.system.word(),
            proposal: mode.sentence(),
            evidence: evidence.collect(),
        }
    }

    fn signs(&self) -> Vec<Proposed<'s>> {
        let signs = self.study.accidentals.iter().map(|sign| {
            let Event { voice, index, line, column } = self.event(sign.event);
            Proposed {
                voice,
                index,
                line,
                column,
                at: sign.at.to_string(),
                bar: self.bar(sign.at),
                sign: match sign.sign {
                    cartella::Accidental::Sharp => "#",
                    cartella::Accidental::Flat => "b",
                    cartella::Accidental::Natural => "n",
                },
                pitch: sign.pitch.to_string(),
                certain: sign.is_certain(),
                reason: sign.reason.name(),
                doubt: sign.doubt.map(cartella::Doubt::name),
            }
        });
        signs.collect()
    }
}
