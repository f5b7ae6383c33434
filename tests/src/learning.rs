//! The reader that learns a print: all processors, and what it reads wrong.

use std::sync::atomic::{AtomicUsize, Ordering};
use std::thread;

use facsimile::{Network, Workers, read};

use crate::{LaidOut, compared, differences};

/// All processors; nobody watches.
pub struct Threads;

impl Workers for Threads {
    fn each<R: Send>(&self, count: usize, work: impl Fn(usize) -> R + Sync) -> Vec<R> {
        let cores = thread::available_parallelism().map_or(1, usize::from);
        let next = AtomicUsize::new(0);
        let one = || {
            let mut done = Vec::new();
            loop {
                let number = next.fetch_add(1, Ordering::Relaxed);
                if number >= count {
                    return done;
                }
                done.push((number, work(number)));
            }
        };
        let mut all: Vec<(usize, R)> = thread::scope(|scope| {
            let threads: Vec<_> = (0..cores).map(|_| scope.spawn(one)).collect();
            threads.into_iter().flat_map(|thread| thread.join().expect("no panic")).collect()
        });
        all.sort_by_key(|(number, _)| *number);
        all.into_iter().map(|(_, done)| done).collect()
    }

    fn go_on(&mut self, _: usize, _: usize) -> bool {
        true
    }
}

/// The sorts of some lines, and how many are read wrong.
pub fn read_wrong(lines: &[&LaidOut], network: &Network) -> (usize, usize) {
    let counted = Threads.each(lines.len(), |number| {
        let line = lines[number];
        let printed = compared(line.sorts.iter().copied());
        let found = compared(read(&line.picture, network).sorts.iter().map(|read| read.sort));
        (printed.len(), differences(&printed, &found))
    });
    counted.into_iter().fold((0, 0), |sum, one| (sum.0 + one.0, sum.1 + one.1))
}
