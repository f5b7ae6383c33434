use suite::slips::scored;
use suite::*;
fn main() {
    let args: Vec<String> = std::env::args().collect();
    let opendata = opendata().unwrap();
    let name = &args[1];
    let from: i64 = args[2].parse().unwrap();
    let to: i64 = args[3].parse().unwrap();
    let text = if name.len() == 2 {
        let (_, xml) = duos(&opendata).into_iter().find(|(n, _)| n == name).unwrap();
        read_score(name, xml.as_bytes(), None)
    } else {
        madrigal_parts(&opendata, name)
    };
    let (piece, score) = scored(&text);
    let len = score.length.numerator() / score.length.denominator();
    let (from, to) = if from < 0 { (len + from, len) } else { (from, to) };
    for v in &score.voices {
        print!("{:8}", v.name);
        for e in &v.events {
            let on = e.onset.numerator() as f64 / e.onset.denominator() as f64;
            if on >= from as f64 && on < to as f64 {
                let p = e.notes.first().map_or("_".into(), |n| n.pitch.to_string());
                print!(" {}:{}({})", e.onset, p, e.length);
            }
        }
        println!();
    }
    for c in counterpoint::study::cadences::of(&piece, &score) {
        let at = c.at.numerator() as f64 / c.at.denominator() as f64;
        if at >= from as f64 && at <= to as f64 {
            println!("{}", cadences::told(&c, &score));
        }
    }
}
