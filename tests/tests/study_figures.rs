//! The figures of dissonance in the open data, by the rules of their date.

use std::collections::BTreeMap;
use std::fmt::Write;
use std::time::{Duration, Instant};

use counterpoint::EventId;
use counterpoint::study::{Dissonances, Judged, Numbers, Rule, RuleSet, Severity, judge};
use notation::Piece;
use rudiments::Time;
use score::Score;
use suite::slips::scored;
use suite::{
    CLEAN_MADRIGALS, FIORINO, VIRCHI, duos, madrigal_parts, opendata, read_score, with_signs,
};

/// A piece, and its score.
type Scored = (String, Piece, Score);

fn all_duos(opendata: &std::path::Path) -> Vec<Scored> {
    let scored = |(name, xml): (String, String)| {
        let (piece, score) = scored(&read_score(&name, xml.as_bytes(), None));
        (name, piece, score)
    };
    duos(opendata).into_iter().map(scored).collect()
}

fn clean_madrigals(opendata: &std::path::Path) -> Vec<Scored> {
    let scored = |name: &&str| {
        let (piece, score) = scored(&madrigal_parts(opendata, name));
        ((*name).to_owned(), piece, score)
    };
    CLEAN_MADRIGALS.iter().map(scored).collect()
}

/// What is counted in many pieces.
#[derive(Default)]
struct Counts {
    pieces: usize,
    bars: usize,
    simultaneities: usize,
    untreated: usize,
    figures: BTreeMap<(&'static str, &'static str), usize>,
    numbers: BTreeMap<&'static str, usize>,
    findings: BTreeMap<(Severity, &'static str), usize>,
}

impl Counts {
    fn add(&mut self, judged: &Judged, score: &Score) {
        let Dissonances { simultaneities, untreated, pairs, suspensions } = &judged.dissonances;
        self.pieces += 1;
        self.bars += score.bars.len();
        self.simultaneities += simultaneities;
        self.untreated += untreated;
        for pair in pairs {
            let said = pair.judgement.map_or("free", Severity::name);
            *self.figures.entry((pair.figure.name(), said)).or_default() += 1;
        }
        for suspension in suspensions {
            *self.numbers.entry(Numbers::name(suspension.numbers)).or_default() += 1;
        }
        for finding in &judged.findings {
            *self.findings.entry((finding.severity, finding.rule.name())).or_default() += 1;
        }
    }

    fn percent(&self) -> f64 {
        100.0 * self.untreated as f64 / self.simultaneities as f64
    }

    fn of(&self, rules: [Rule; 2]) -> usize {
        let names = rules.map(Rule::name);
        let found = self.findings.iter().filter(|((_, rule), _)| names.contains(rule));
        found.map(|(_, count)| count).sum()
    }

    fn table(&self, title: &str) -> String {
        let Counts { pieces, bars, simultaneities, untreated, .. } = self;
        let mut table = format!("{title}: {pieces} pieces, {bars} bars\n");
        let percent = self.percent();
        writeln!(table, "untreated {untreated} of {simultaneities}: {percent:.2} %").unwrap();
        for ((figure, said), count) in &self.figures {
            writeln!(table, "  {count:4} {figure} ({said})").unwrap();
        }
        writeln!(table, "suspensions").unwrap();
        for (numbers, count) in &self.numbers {
            writeln!(table, "  {count:4} {numbers}").unwrap();
        }
        writeln!(table, "findings").unwrap();
        for ((severity, rule), count) in &self.findings {
            writeln!(table, "  {count:4} {} {rule}", severity.name()).unwrap();
        }
        table
    }
}

fn count(pieces: &[Scored], rules: RuleSet) -> Counts {
    let mut counts = Counts::default();
    for (_, piece, score) in pieces {
        counts.add(&judge(piece, score, rules), score);
    }
    counts
}

/// Untreated dissonances are rare in good music, and parallels rarer.
#[test]
fn figures_of_the_open_data() {
    let Some(opendata) = opendata() else { return };
    let duos = count(&all_duos(&opendata), RuleSet::About1500);
    let madrigals = count(&clean_madrigals(&opendata), RuleSet::About1560);
    for counts in [&duos, &madrigals] {
        assert!(counts.percent() <= 1.2, "{} %", counts.percent());
        let parallels = counts.of([Rule::ParallelFifths, Rule::ParallelOctaves]);
        assert!(parallels * 200 <= counts.bars, "{parallels} in {} bars", counts.bars);
    }
    assert_eq!(duos.of([Rule::ContraryFifths, Rule::ContraryOctaves]), 0);
    insta::assert_snapshot!(
        [duos.table("duos, 1500"), madrigals.table("madrigals, 1560")].join("\n")
    );
}

/// Three minims in the time of two: the places in them are not those of duple time.
#[test]
fn figures_in_threes() {
    let Some(opendata) = opendata() else { return };
    let in_threes = [("fiorino_delanima", FIORINO), ("virchi_arsimentre", VIRCHI)];
    let pieces = in_threes.map(|(name, signs)| {
        let (piece, score) = scored(&with_signs(&madrigal_parts(&opendata, name), signs));
        (name.to_owned(), piece, score)
    });
    let counts = count(&pieces, RuleSet::About1560);
    assert!(counts.percent() <= 1.2, "{} %", counts.percent());
    insta::assert_snapshot!(counts.table("madrigals with threes, 1560"));
}

/// A lax reader passes the test above: so a note of a minim or more is moved by a step, up and down,
/// and where it becomes dissonant there must be more that is untreated, as a rule.
#[test]
fn notes_that_are_moved_by_a_step_are_untreated() {
    let Some(opendata) = opendata() else { return };
    let (mut dissonant, mut reported) = (0, 0);
    for (_, piece, score) in all_duos(&opendata) {
        let clean = judge(&piece, &score, RuleSet::About1500).dissonances;
        let events = score.voices.iter().enumerate().flat_map(|(voice, timed)| {
            let long = timed
                .events
                .iter()
                .enumerate()
                .filter(|(_, event)| !event.is_rest() && event.length >= Time::minims(1));
            long.map(move |(event, _)| EventId { voice, event })
        });
        for (id, steps) in events.step_by(5).flat_map(|id| [(id, -1), (id, 1)]) {
            let mut moved = score.clone();
            let voice = &mut moved.voices[id.voice];
            let pitch = &mut voice.events[id.event].notes[0].pitch;
            pitch.tone = pitch.tone.up(steps);
            pitch.alteration = voice.signature.alteration(pitch.tone.step);
            let wrong = judge(&piece, &moved, RuleSet::About1500).dissonances;
            let with_it = |dissonances: &Dissonances| {
                let pairs = dissonances.pairs.iter();
                pairs.filter(|pair| pair.one == id || pair.other == id).count()
            };
            if with_it(&wrong) > with_it(&clean) {
                dissonant += 1;
                reported += usize::from(wrong.untreated > clean.untreated);
            }
        }
    }
    insta::assert_snapshot!(format!("{reported} of {dissonant}"));
    assert!(dissonant >= 200 && reported * 100 >= dissonant * 70, "{reported} of {dissonant}");
}

/// Suspensions stand where a suspension can.
#[test]
fn every_suspension_is_prepared_and_resolved() {
    let Some(opendata) = opendata() else { return };
    for (name, piece, score) in all_duos(&opendata).into_iter().chain(clean_madrigals(&opendata)) {
        let judged = judge(&piece, &score, RuleSet::About1500);
        for one in &judged.dissonances.suspensions {
            let event = |id: EventId| &score.voices[id.voice].events[id.event];
            let (held, resolved) = (event(one.held), event(one.resolved));
            assert!(one.preparation < one.dissonance && one.dissonance < one.resolution, "{name}");
            let lasts = one.resolution - one.dissonance;
            assert!(one.dissonance - one.preparation >= lasts, "{name} {one:?}");
            let tone = |event: &score::TimedEvent| event.notes[0].pitch.tone;
            assert_eq!(tone(resolved).steps_above(tone(held)), -1, "{name} {one:?}");
            assert_eq!(resolved.onset, one.resolution, "{name}");
            assert!(one.struck.iter().all(|id| event(*id).onset == one.dissonance), "{name}");
        }
    }
}

/// Whatever is typed is judged: nothing, rests, one voice, many, of unequal length.
#[test]
fn nothing_is_too_odd_to_judge() {
    let many: String = (0..64).map(|n| format!("voice V{n} clef C1\n sb D4 E F G A\n")).collect();
    let odd = [
        "",
        "voice A clef C1\n",
        "voice A clef C1\n br _ _ _\n",
        "voice A clef C1\n sb D4 E F\n",
        "voice A clef C1\n sb D4 E F\nvoice B clef F4\n lg D3 D D D\nvoice C clef F4\n br _\n",
        many.as_str(),
    ];
    for text in odd {
        let (piece, score) = scored(text);
        for rules in RuleSet::ALL {
            let judged = judge(&piece, &score, *rules);
            assert!(judged.findings.iter().all(|found| !found.sentence(&score).is_empty()));
        }
    }
}

/// Twice as much music takes no more than about twice as long.
#[test]
fn judging_is_linear() {
    let bar = "mn A4 sb D5 mn C5 sm B4 A4 B4 G4 ";
    let time = |bars: usize| {
        let text = format!(
            "voice A clef C1\n {} lg A4\nvoice B clef C4\n {} lg D4\n",
            bar.repeat(bars),
            "sb F4 E4 D4 ".repeat(bars),
        );
        let (piece, score) = scored(&text);
        let once = || {
            let start = Instant::now();
            judge(&piece, &score, RuleSet::About1560);
            start.elapsed()
        };
        (0..3).map(|_| once()).min().unwrap_or(Duration::ZERO)
    };
    let (short, long) = (time(250), time(2000));
    assert!(long < short * 8 * 4, "{short:?}, {long:?}");
}
