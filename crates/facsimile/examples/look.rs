use image::{Rgb, RgbImage};
fn main() {
    for file in std::env::args().skip(1) {
        let bytes = std::fs::read(&file).unwrap();
        let t = std::time::Instant::now();
        let pages = facsimile::pages(&bytes).unwrap();
        let read = t.elapsed();
        for (n, page) in pages.iter().enumerate() {
            let t = std::time::Instant::now();
            let strips = facsimile::strips(&page.picture);
            let music = strips.iter().filter(|s| !s.empty).count();
            println!(
                "{file} {n} {}x{} music {music} all {} read {read:?} found {:?} {}",
                page.picture.width(),
                page.picture.height(),
                strips.len(),
                t.elapsed(),
                strips.iter().map(|s| if s.empty { '-' } else { 'm' }).collect::<String>()
            );
            if let Ok(dir) = std::env::var("OUT") {
                let mut out =
                    RgbImage::from_fn(page.picture.width(), page.picture.height(), |x, y| {
                        let v = page.picture.get_pixel(x, y).0[0];
                        Rgb([v, v, v])
                    });
                for s in &strips {
                    let c = if s.empty { Rgb([0, 0, 255]) } else { Rgb([255, 0, 0]) };
                    let (cx, cy) = (s.x + s.width / 2.0, s.y + s.height / 2.0);
                    let (sin, cos) = s.angle.to_radians().sin_cos();
                    let p = |dx: f64, dy: f64| (cx + dx * cos - dy * sin, cy + dx * sin + dy * cos);
                    let mut dot = |(x, y): (f64, f64), c| {
                        if x >= 0.0
                            && y >= 0.0
                            && (x as u32) < out.width()
                            && (y as u32) < out.height()
                        {
                            out.put_pixel(x as u32, y as u32, c)
                        }
                    };
                    for i in 0..=4000 {
                        let f = i as f64 / 4000.0 - 0.5;
                        for d in [-0.5, 0.5] {
                            dot(p(f * s.width, d * s.height), c);
                            dot(p(d * s.width, f * s.height), c);
                        }
                    }
                    for &(x, y) in &s.middle {
                        for k in -2..=2 {
                            dot((x, y + k as f64 * s.space), Rgb([0, 200, 0]));
                        }
                    }
                }
                let name = file.rsplit('/').take(3).collect::<Vec<_>>().join("_");
                out.save(format!("{dir}/{name}-{n}.png")).unwrap();
            }
        }
    }
}
