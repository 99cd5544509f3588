//! The figures, read back and held against what they were given.

mod anything;
mod chance_map;
mod evening;
mod evening_table;
mod palette;
mod place_map;
mod rain_loop;
mod rain_map;
mod samples;
mod svg;
mod year;
