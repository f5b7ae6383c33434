//! x
use std::collections::BTreeMap;
use engrave::{Look, audit, Paper, engrave_on, pages};
use suite::{LAYOUTS, MADRIGALS, drawn, duos, fixtures, madrigal_parts, opendata, read_score};
fn main() {
    let verbose = std::env::args().nth(1);
    let opendata = opendata().unwrap();
    let mut texts: Vec<(String, String)> = MADRIGALS.iter().map(|p| (p.to_string(), madrigal_parts(&opendata, p))).collect();
    texts.extend(duos(&opendata).into_iter().map(|(n, x)| { let t = read_score(&n, x.as_ref(), None); (n.to_string(), t) }));
    texts.extend(fixtures());
    let mut sums: BTreeMap<String, usize> = BTreeMap::new();
    let large = Look { staff: Look::LARGE_STAFF, ..Look::default() };
    for (name, text) in &texts {
        for (n, layout) in LAYOUTS.into_iter().enumerate() {
            for (l, look) in [("", Look::default()), ("large", large)] {
                if !l.is_empty() && n != 0 && n != 3 { continue; }
                for f in audit(&drawn(text, layout, &look)) {
                    *sums.entry(format!("{n:2}{l} {:?} {:?}", f.kind, f.items)).or_default() += 1;
                    if verbose.as_ref().is_some_and(|v| format!("{n}{l} {:?} {:?}", f.kind, f.items).contains(v.as_str())) { println!("{name} {n}{l} {f:?}"); }
                }
            }
        }
    }
    for (k, n) in sums { println!("{n:5} {k}"); }
    let _ = (Paper::A4, engrave_on, pages);
}
