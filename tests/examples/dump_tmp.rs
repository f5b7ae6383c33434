fn main() {
    let o = suite::opendata().unwrap();
    for n in std::env::args().skip(1) {
        println!("{}", suite::madrigal_parts(&o, &n));
    }
}
