//! Music made at random, as a row of sorts: it need not make sense, but looks as if it might.

use facsimile::{Kind, Sort};
use rudiments::{Accidental, ClefShape, LigatureNote, LigatureShape, Place, Value, ligature};
use suite::Dice;

/// What is set next: sorts that stand by themselves, or a ligature.
pub(crate) enum Word {
    One(Sort),
    /// Its notes, with the shapes that they have together.
    Ligature(Vec<(LigatureNote, LigatureShape)>),
}

/// Someone who makes a line up.
pub(crate) struct Composer<'d> {
    dice: &'d mut Dice,
    place: Place,
    /// From 0, long values, to 1, short ones.
    haste: f64,
    /// How often an accidental stands before a note.
    chromatic: f64,
    /// How often there are rests.
    silent: f64,
}

/// One of some things, each with its weight.
pub(crate) fn one<T: Copy>(dice: &mut Dice, of: &[(f64, T)]) -> T {
    let total: f64 = of.iter().map(|(weight, _)| weight).sum();
    let mut at = dice.between(0.0, total);
    for (weight, thing) in of {
        if at < *weight {
            return *thing;
        }
        at -= weight;
    }
    of[of.len() - 1].1
}

fn value(number: f64) -> Value {
    Value::ALL[(number.round().clamp(1.0, 7.0)) as usize]
}

fn note(value: Value) -> Kind {
    Kind::Note { value, black: false }
}

impl<'d> Composer<'d> {
    pub(crate) fn new(dice: &'d mut Dice) -> Composer<'d> {
        let place = dice.between(3.0, 10.0) as Place;
        let haste = dice.throw();
        let chromatic = dice.between(0.0, 0.15);
        let silent = dice.between(0.02, 0.2);
        Composer { dice, place, haste, chromatic, silent }
    }

    fn chance(&mut self, part: f64) -> bool {
        self.dice.throw() < part
    }

    /// What a line begins with: clef, signature, sign.
    pub(crate) fn opening(&mut self) -> Vec<Sort> {
        let clefs = [
            (2.5, (ClefShape::G, 2)),
            (0.3, (ClefShape::G, 1)),
            (2.0, (ClefShape::C, 1)),
            (1.0, (ClefShape::C, 2)),
            (2.0, (ClefShape::C, 3)),
            (2.0, (ClefShape::C, 4)),
            (0.4, (ClefShape::C, 5)),
            (1.5, (ClefShape::F, 3)),
            (2.0, (ClefShape::F, 4)),
            (0.3, (ClefShape::F, 5)),
        ];
        let (shape, line) = one(self.dice, &clefs);
        let mut sorts = vec![Sort::at(Kind::Clef(shape), 2 * line)];
        let count = one(self.dice, &[(5.0, 0), (5.0, 1), (0.7, 2), (0.2, 3)]);
        let accidental = one(self.dice, &[(6.0, Accidental::Flat), (1.0, Accidental::Sharp)]);
        let mut place = 2 + self.dice.between(0.0, 9.0) as Place;
        // One sign may stand at both octaves, the lower first.
        if count == 1 && place <= 4 && self.chance(0.6) {
            let kind = Kind::Accidental(accidental);
            sorts.extend([Sort::at(kind, place), Sort::at(kind, place + 7)]);
        } else {
            for _ in 0..count {
                sorts.push(Sort::at(Kind::Accidental(accidental), place));
                // The next: a fourth up or a fifth down.
                place += if place > 8 { -4 } else { 3 };
            }
        }
        if self.chance(0.3) {
            sorts.extend(self.signs());
        }
        sorts
    }

    /// A sign, and at times a proportion behind it.
    fn signs(&mut self) -> Vec<Sort> {
        let mut signs = vec![self.sign()];
        if matches!(signs[0].kind, Kind::Sign(sign) if sign.circle.is_some()) && self.chance(0.2) {
            signs.push(self.proportion());
        }
        signs
    }

    fn proportion(&mut self) -> Sort {
        loop {
            let sort = self.sign();
            if matches!(sort.kind, Kind::Sign(sign) if sign.circle.is_none()) {
                return sort;
            }
        }
    }

    fn sign(&mut self) -> Sort {
        let signs = Kind::ALL.into_iter().filter(|kind| matches!(kind, Kind::Sign(_)));
        let weighted: Vec<(f64, Kind)> = signs
            .zip([3.0, 3.0, 0.7, 0.7, 2.0, 0.8])
            .map(|(kind, weight)| (weight, kind))
            .collect();
        Sort::of(one(self.dice, &weighted))
    }

    fn step(&mut self) -> Place {
        let steps = [
            (1.5, 0),
            (3.0, 1),
            (3.0, -1),
            (0.9, 2),
            (0.9, -2),
            (0.4, 3),
            (0.4, -3),
            (0.5, 4),
            (0.3, -4),
            (0.15, 7),
            (0.15, -7),
        ];
        let step = one(self.dice, &steps);
        let towards = if self.chance(0.15) { (6 - self.place).signum() } else { 0 };
        self.place = (self.place + step + towards).clamp(-1, 13);
        self.place
    }

    fn note(&mut self, kind: Kind, words: &mut Vec<Word>) {
        let place = self.step();
        if self.chance(self.chromatic) {
            let sign = one(
                self.dice,
                &[(5.0, Accidental::Sharp), (4.0, Accidental::Flat), (0.4, Accidental::Natural)],
            );
            words.push(Word::One(Sort::at(Kind::Accidental(sign), place)));
        }
        words.push(Word::One(Sort::at(kind, place)));
    }

    /// A few more sorts.
    pub(crate) fn phrase(&mut self) -> Vec<Word> {
        let mut words = Vec::new();
        let usual = 3.3 + 2.0 * self.haste;
        let spread = self.dice.between(-1.6, 1.6);
        let chosen = value(usual + spread);
        if self.chance(self.silent) {
            for _ in 0..one(self.dice, &[(4.0, 1), (2.0, 2), (1.5, 3), (0.7, 4)]) {
                words.push(Word::One(self.rest()));
            }
            return words;
        }
        match one(
            self.dice,
            &[
                (6.0, 0),
                (3.0, 1),
                (3.0, 2),
                (0.35, 3),
                (0.35, 4),
                (0.15, 5),
                (0.12, 6),
                (1.0, 7),
                (0.25, 8),
            ],
        ) {
            // A few of a value.
            0 => {
                for _ in 0..self.dice.between(1.0, 7.0) as usize {
                    self.note(note(chosen), &mut words);
                }
            }
            // Dotted.
            1 => {
                self.note(note(chosen), &mut words);
                words.push(Word::One(Sort::of(Kind::Dot)));
                let next = value(chosen as usize as f64 + 1.0);
                for _ in 0..=usize::from(self.chance(0.2)) {
                    self.note(note(next), &mut words);
                }
            }
            // Any.
            2 => {
                for _ in 0..3 {
                    let spread = self.dice.between(-2.0, 2.5);
                    self.note(note(value(usual + spread)), &mut words);
                }
            }
            3 => words.extend(self.ligature()),
            // Blackened.
            4 => {
                if self.chance(0.3) {
                    words.push(Word::One(self.proportion()));
                }
                for _ in 0..self.dice.between(2.0, 6.0) as usize {
                    let kinds = [
                        (3.0, Kind::Note { value: Value::Semibreve, black: true }),
                        (1.5, Kind::Note { value: Value::Breve, black: true }),
                        (0.4, Kind::Note { value: Value::Longa, black: true }),
                        (1.5, note(Value::Semiminim)),
                    ];
                    let kind = one(self.dice, &kinds);
                    self.note(kind, &mut words);
                }
            }
            5 => words.extend(self.signs().into_iter().map(Word::One)),
            // Bars, repeats, another clef.
            6 => {
                let kinds = [(2.0, Kind::BarLine), (2.0, Kind::DoubleBar), (2.0, Kind::Repeat)];
                let kind = one(self.dice, &kinds);
                words.push(Word::One(Sort::of(kind)));
                if self.chance(0.3) {
                    words.extend(self.opening().into_iter().take(1).map(Word::One));
                }
            }
            // The shortest.
            8 => {
                self.note(note(Value::Fusa), &mut words);
                if self.chance(0.5) {
                    words.push(Word::One(Sort::of(Kind::Dot)));
                }
                for _ in 0..self.dice.between(1.0, 5.0) as usize {
                    self.note(note(Value::Semifusa), &mut words);
                }
            }
            // A long one, with what may stand over it.
            _ => {
                let kinds = [
                    (3.0, Value::Breve),
                    (3.0, Value::Longa),
                    (0.4, Value::Maxima),
                    (3.0, Value::Semibreve),
                ];
                let kind = note(one(self.dice, &kinds));
                self.note(kind, &mut words);
                if self.chance(0.12) {
                    words.push(Word::One(Sort::of(Kind::Corona)));
                } else if self.chance(0.1) {
                    words.push(Word::One(Sort::of(Kind::Signum)));
                }
            }
        }
        words
    }

    fn rest(&mut self) -> Sort {
        let rests = Kind::ALL.into_iter().filter(|kind| matches!(kind, Kind::Rest { .. }));
        let weights = [1.0, 0.7, 1.6, 3.0, 4.0, 4.0, 0.8, 0.3];
        let weighted: Vec<(f64, Kind)> =
            rests.zip(weights).map(|(kind, weight)| (weight, kind)).collect();
        Sort::of(one(self.dice, &weighted))
    }

    /// A ligature, if what was made up can be one.
    fn ligature(&mut self) -> Vec<Word> {
        let count = one(self.dice, &[(5.0, 2), (1.5, 3), (0.7, 4)]);
        let values = [(3.0, Value::Semibreve), (3.0, Value::Breve), (1.2, Value::Longa)];
        let mut notes: Vec<LigatureNote> = Vec::new();
        for number in 0..count {
            let value = match notes.last().map(|last| last.value) {
                Some(Value::Semibreve) if number == 1 => Value::Semibreve,
                _ => one(self.dice, &values),
            };
            let mut place = self.step();
            if notes.last().is_some_and(|last| last.place == place) {
                place -= 1;
                self.place = place;
            }
            let oblique = number + 1 < count && self.chance(0.35);
            notes.push(LigatureNote { value, place, oblique });
        }
        match ligature(&notes) {
            Ok(shapes) => vec![Word::Ligature(notes.into_iter().zip(shapes).collect())],
            Err(_) => Vec::new(),
        }
    }

    /// What a line ends with.
    pub(crate) fn ending(&mut self) -> Vec<Word> {
        match one(self.dice, &[(8.0, 0), (1.0, 1), (1.5, 2)]) {
            0 => {
                let place = self.step();
                vec![Word::One(Sort::at(Kind::Direct, place))]
            }
            1 => Vec::new(),
            _ => {
                let mut words = Vec::new();
                let kind = note(one(self.dice, &[(4.0, Value::Longa), (1.0, Value::Breve)]));
                self.note(kind, &mut words);
                if self.chance(0.2) {
                    words.push(Word::One(Sort::of(Kind::Corona)));
                }
                if self.chance(0.85) {
                    words.push(Word::One(Sort::of(Kind::DoubleBar)));
                }
                words
            }
        }
    }
}
