//! Integration tests; the modules mirror `src/`.

#![expect(
    clippy::unwrap_used,
    clippy::float_cmp,
    reason = "a helper that cannot set a test up fails it; stated values pass through unchanged"
)]

mod advect;
mod beam;
mod busy;
mod chance_map;
mod clutter;
mod edge_distance;
mod ended_windows;
mod evenings;
mod level;
mod motion;
mod nowcast;
mod readers;
mod readers_cf;
mod readers_grib2;
mod readers_odim;
mod record;
mod reflectivity;
mod regrid;
mod sky;
mod smooth;
mod spot;
mod writers_cf;
