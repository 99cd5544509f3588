//! Nowcasts written into files that other programs read.
//!
//! - [`cf`]: NetCDF after the Climate and Forecast conventions

pub mod cf;
