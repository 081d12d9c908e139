//! Writes the invented report and its figures: `customer OUT_FOLDER [inch]`.

#[path = "../tests/it/invented.rs"]
#[allow(dead_code, clippy::unwrap_used)]
mod invented;

use report::figure::Svg;
use report::figure::png::to_png;
use report::figure::section::{SectionFigure, section_drawing};
use report::figure::strip::{Strip, strip_plot};
use report::paper::customer::{customer_data, customer_report};
use std::path::Path;
use std::time::Instant;
use weld::measured::Measured;
use weld::quantity::show::UnitSystem;
use weld::section::{Section, read};

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut words = std::env::args().skip(1);
    let out = words.next().ok_or("use: customer OUT_FOLDER [inch]")?;
    let units =
        if words.next().as_deref() == Some("inch") { UnitSystem::Inch } else { UnitSystem::Metric };
    let out = Path::new(&out);
    std::fs::create_dir_all(out)?;
    let keep = |name: &str, svg: &Svg| -> Result<(), Box<dyn std::error::Error>> {
        std::fs::write(out.join(format!("{name}.svg")), svg.as_str())?;
        std::fs::write(out.join(format!("{name}.png")), to_png(svg, 1400)?)?;
        Ok(())
    };
    let drawn = |section: &Section, width_mm: f64| -> Result<Svg, Box<dyn std::error::Error>> {
        let seen = read(section)?;
        let welds = invented::figures(&seen);
        let land = seen.joint.unfused_land.map(|v| Measured::new(v, 0.08));
        Ok(section_drawing(&SectionFigure {
            section,
            welds: &welds,
            land,
            heat_affected: &[],
            units,
            width_mm,
            height_mm: 110.0,
        }))
    };
    keep("tee", &drawn(&invented::tee((3.4, 3.1, 1.7), (3.2, 3.3, 1.5)), 168.0)?)?;
    keep("butt", &drawn(&invented::butt(), 168.0)?)?;
    keep("bead", &drawn(&invented::bead(), 120.0)?)?;
    let groups = invented::groups(3, 6);
    let strip = Strip {
        words: "effective throat",
        groups: &groups,
        bound_mm: Some(3.1264),
        need_mm: Some(3.0),
        units,
        width_mm: 170.0,
    };
    keep("strip", &strip_plot(&strip))?;
    let claim = invented::claim();
    let customer = invented::customer(&claim, 3, 6, units);
    if let Some(drawing) = customer.joint.as_ref().and_then(|j| j.drawing.as_ref()) {
        keep("joint", drawing)?;
    }
    if let Some(picture) = customer.sections.first().and_then(|s| s.picture.as_ref()) {
        keep("photo", picture)?;
    }
    let began = Instant::now();
    let paper = customer_report(&customer)?;
    let first = began.elapsed();
    let began = Instant::now();
    let again = customer_report(&customer)?;
    println!(
        "{} pages, {} kB, first {} ms, second {} ms, same bytes: {}, remarks {:?}",
        paper.pages,
        paper.pdf.len() / 1024,
        first.as_millis(),
        began.elapsed().as_millis(),
        paper == again,
        paper.remarks
    );
    std::fs::write(out.join("report.pdf"), &paper.pdf)?;
    std::fs::write(out.join("data.json"), customer_data(&customer)?)?;
    Ok(())
}
