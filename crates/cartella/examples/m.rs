use cartella::*;
fn main() {
    let t = std::time::Instant::now();
    let models = join_models();
    eprintln!("{:?}", t.elapsed());
    for m in &models {
        println!("{} {} {} {}: {}", if m.rising {"rising"} else {"falling"}, if m.above {"above"} else {"below"}, m.kind.name(), m.place, match m.joining.as_ref().map(|j| &j.1) { Some(j) => format!("steps {} bridge {:?} at {} {:?} {:?} {:?} goal {:?}", j.steps, j.bridge, j.at, j.quality, j.cadence.as_ref().map(|c| c.name()), j.remarks.iter().map(|r| r.0.name()).collect::<Vec<_>>(), j.cadence.as_ref().map(|c|c.goal.to_string())), None => "-".to_owned() });
    }
}
