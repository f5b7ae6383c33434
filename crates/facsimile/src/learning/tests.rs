use fastrand::Rng;

use super::*;
use crate::laid::ROWS;
use crate::network::ink;
use crate::sort::Kind;

/// One after another, and no more than so many steps.
struct Alone(usize);

impl Workers for Alone {
    fn each<R: Send>(&self, count: usize, work: impl Fn(usize) -> R + Sync) -> Vec<R> {
        (0..count).map(work).collect()
    }

    fn go_on(&mut self, done: usize, _: usize) -> bool {
        done < self.0
    }
}

/// A made-up picture, short so that it is quick: spots here and there.
fn picture(seed: u64) -> GrayImage {
    let mut dice = Rng::with_seed(seed);
    let mut laid = GrayImage::from_pixel(60, ROWS as u32, image::Luma([220]));
    for _ in 0..40 {
        let (x, y) = (dice.u32(2..56), dice.u32(2..90));
        for (across, down) in [(0, 0), (1, 0), (0, 1), (1, 1), (2, 1)] {
            laid.put_pixel(x + across, y + down, image::Luma([dice.u8(0..120)]));
        }
    }
    laid
}

fn row() -> Vec<usize> {
    let sorts = [Sort::at(Kind::ALL[9], 4), Sort::of(Kind::Dot), Sort::at(Kind::ALL[10], 7)];
    sorts.map(|sort| sort.number().unwrap()).to_vec()
}

/// Each part of the gradient against the difference that a small change of the weights makes.
#[test]
fn the_gradient_is_the_change_of_the_loss() {
    let mut network = Network::shipped();
    let (laid, row) = (picture(3), row());
    let lesson = Lesson::of(laid.clone(), &sorts()).unwrap();
    let loss = |network: &Network| lesson.unlikely(network).unwrap() / row.len() as f32;
    let gradient = backward::gradient(&network, ink(&laid), &row).unwrap();
    let mut compared = 0;
    for number in 0..gradient.parts.len() {
        // Statistics are not learned: five parts a layer, of which two are statistics.
        let is_statistic = number < 60 && number % 5 >= 3;
        let change = &gradient.parts[number];
        if is_statistic {
            assert!(change.iter().all(|change| *change == 0.0));
            continue;
        }
        // Along the gradient of the part itself, so that the difference is well above what is lost in singles.
        let long = change.iter().map(|change| change * change).sum::<f32>().sqrt();
        let step = 2e-3 / long;
        let moved = |network: &mut Network, by: f32| {
            let part = network.parts_mut().nth(number).unwrap();
            for (value, change) in part.iter_mut().zip(change) {
                *value += by * change;
            }
        };
        moved(&mut network, step);
        let more = loss(&network);
        moved(&mut network, -2.0 * step);
        let less = loss(&network);
        moved(&mut network, step);
        let found = (more - less) / (2.0 * step * long);
        assert!(
            (found / long - 1.0).abs() < 0.05,
            "part {number}: {found} by trial, {long} computed"
        );
        compared += 1;
    }
    assert_eq!(compared, 12 * 3 + 2);
}

fn sorts() -> Vec<Sort> {
    row().into_iter().filter_map(Sort::numbered).collect()
}

/// How unlikely what stands there is.
fn unlikely(network: &Network, known: &Known) -> f32 {
    known.lesson(network).unwrap().unlikely(network).unwrap()
}

#[test]
fn what_is_known_is_learned() {
    let known: Vec<Known> = (0..ENOUGH as u64)
        .map(|seed| Known { laid: picture(seed % 2), rows: vec![sorts()] })
        .collect();
    let shipped = Network::shipped();
    let learned = learn(&shipped, &known, &[], 12, &mut Alone(99));
    assert_eq!((learned.steps, learned.by_itself), ((48, 48), 0));
    let (before, now) = (unlikely(&shipped, &known[0]), unlikely(&learned.network, &known[0]));
    // 26.1 becomes 9.3.
    assert!(now < before / 2.0, "{before} {now}");
}

/// The row with a dot is the one that the network, which was taught it, finds likelier.
#[test]
fn of_several_rows_the_likeliest_counts() {
    let laid = picture(3);
    let known = Known { laid: laid.clone(), rows: vec![sorts()] };
    let network = learn(&Network::shipped(), &[known], &[], 8, &mut Alone(99)).network;
    let other: Vec<Sort> = sorts().into_iter().chain([Sort::of(Kind::DoubleBar)]).collect();
    let both = Known { laid, rows: vec![other, sorts()] };
    assert_eq!(both.row(&network).unwrap(), sorts());
    let crowded = Known { laid: picture(3), rows: vec![vec![Sort::of(Kind::Dot); 16]] };
    assert!(crowded.row(&network).is_none());
}

#[test]
fn it_stops_when_it_shall() {
    let known = [Known { laid: picture(3), rows: vec![sorts()] }];
    let learned = learn(&Network::shipped(), &known, &[], 5, &mut Alone(2));
    assert_eq!(learned.steps, (2, 15));
    assert!(unlikely(&learned.network, &known[0]).is_finite());
}

/// Without anything to learn from, it stays as it is.
#[test]
fn nothing_is_learned_from_nothing() {
    let white = GrayImage::from_pixel(60, ROWS as u32, image::Luma([220]));
    let learned = learn(&Network::shipped(), &[], &[white], 5, &mut Alone(99));
    assert_eq!((learned.by_itself, learned.steps), (0, (15, 15)));
    let learned = learn(&Network::shipped(), &[], &[], 5, &mut Alone(99));
    assert!(learned.network.parts().eq(Network::shipped().parts()));
}

#[test]
fn what_cannot_be_taught_is_no_lesson() {
    assert!(Lesson::of(GrayImage::new(10, ROWS as u32), &[]).is_none());
    assert!(Lesson::of(GrayImage::new(60, 20), &[]).is_none());
    let far = Sort::at(Kind::Direct, 99);
    assert!(Lesson::of(picture(1), &[far]).is_none());
    // Sixteen notes on fifteen steps.
    let crowded = vec![Sort::of(Kind::Dot); 16];
    assert!(Lesson::of(picture(1), &crowded).unwrap().tried(&Network::shipped(), 1).is_none());
}
