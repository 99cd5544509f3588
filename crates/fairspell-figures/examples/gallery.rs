//! Writes one figure of each kind into a folder, to be looked at: `cargo run --example gallery DIR`.

#[path = "../tests/it/samples.rs"]
mod samples;

use std::{env, error::Error, fs, path::PathBuf};

use fairspell_figures::{
    Evening, MapWidth, Size, Theme, chance_map_svg, evening_svg, place_map_svg, rain_loop_svg,
    rain_map_svg, year_svg,
};

/// All evenings by name.
fn evenings() -> Vec<(&'static str, Evening)> {
    vec![
        ("showers", samples::showers()),
        ("storm", samples::storm()),
        ("half-known", samples::half_known()),
        ("crowded", samples::crowded()),
        ("clear", Evening { without_rain: true, gaps: Vec::new(), ..samples::showers() }),
        ("empty", Evening { heading: "Fri 4 Sep".into(), ..Evening::default() }),
    ]
}

fn main() -> Result<(), Box<dyn Error>> {
    let folder = PathBuf::from(env::args().nth(1).ok_or("which folder?")?);
    fs::create_dir_all(&folder)?;
    let themes = [("day", Theme::Light), ("night", Theme::Dark), ("auto", Theme::Auto)];
    for (theme_name, theme) in themes {
        for (name, evening) in evenings() {
            for (size_name, size) in
                [("large", Size::Large), ("narrow", Size::Narrow), ("small", Size::Small)]
            {
                let file = folder.join(format!("{name}-{size_name}-{theme_name}.svg"));
                fs::write(file, evening_svg(&evening, size, theme))?;
            }
        }
        let map = samples::rain_map();
        fs::write(folder.join(format!("map-{theme_name}.svg")), rain_map_svg(&map, theme))?;
        for (width_name, width) in [("wide", MapWidth::Wide), ("narrow", MapWidth::Narrow)] {
            let svg = rain_loop_svg(&samples::rain_loop(), width, theme);
            fs::write(folder.join(format!("loop-{width_name}-{theme_name}.svg")), svg)?;
            let svg = rain_loop_svg(&samples::busy_loop(1.0), width, theme);
            fs::write(folder.join(format!("loop-busy-{width_name}-{theme_name}.svg")), svg)?;
            let svg = year_svg(&samples::year(), width, theme);
            fs::write(folder.join(format!("year-{width_name}-{theme_name}.svg")), svg)?;
            let svg = chance_map_svg(&samples::chance_map(), width, theme);
            fs::write(folder.join(format!("chances-{width_name}-{theme_name}.svg")), svg)?;
        }
        let svg = place_map_svg(&samples::place_map(), theme);
        fs::write(folder.join(format!("place-{theme_name}.svg")), svg)?;
    }
    Ok(())
}
