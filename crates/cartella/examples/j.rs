use cartella::*;
fn main() {
    let a: Vec<String> = std::env::args().collect();
    let p = |f: &str| Document::parse(std::fs::read_to_string(f).unwrap()).first().pair().unwrap();
    let (x, y) = (p(&a[1]), p(&a[2]));
    let mut asked = Asked::default();
    if let Some(k) = a.get(3) { asked.extend = k.parse().unwrap(); }
    if let Some(k) = a.get(4) { asked.cadence = [CadenceKind::Second, CadenceKind::Seventh, CadenceKind::Fourth, CadenceKind::Fifth].into_iter().find(|c| c.name() == k); }
    if let Some(k) = a.get(5) { asked.above = Some(k == "above"); }
    let t = std::time::Instant::now();
    let raw = invention::join::join(&x, &y, &asked, &|_| true);
    eprintln!("engine {:?} {}", t.elapsed(), raw.len());
    let t = std::time::Instant::now();
    let found = join(&x, &y, &asked);
    eprintln!("whole {:?} {}", t.elapsed(), found.len());
    for j in raw.iter().filter(|r| !found.contains(r)) {
        let text = joined_parts("x", &[], j, &x);
        let d = Document::parse(text.clone()); let al = d.score(BarLength::Breve);
        let st = al.study(RuleSet::About1560);
        println!("REJ {} at {} steps {} {:?} {:?}: {:?} acc {:?}", j.place, j.at, j.steps, j.quality, j.bridge, st.findings.iter().filter(|f| f.severity == Weight::Fault).map(|f| f.sentence(&al.score)).collect::<Vec<_>>(), st.accidentals.iter().filter(|a| a.is_certain()).map(|a| (a.pitch.to_string(), a.at.to_string())).collect::<Vec<_>>());
        if a.len() > 6 { println!("{text}"); }
    }
    for j in &found {
        println!("{} at {} steps {} {:?} above {} {:?} makes {:?} bridge {:?} cad {:?} {:?} {:?}", j.place, j.at, j.steps, j.quality, j.above, j.meanwhile, j.makes, j.bridge, j.cadence.as_ref().map(|c| (c.kind.name(), c.name(), c.at.to_string())), j.signs.len(), j.remarks.iter().map(|r| r.0.name()).collect::<Vec<_>>());
    }
    if let Some(j) = found.first() { println!("{}", joined_parts("x", &[], j, &x)); }
}
