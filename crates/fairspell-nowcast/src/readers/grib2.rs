//! GRIB2: rain rate of the national mosaic of the United States.
//!
//! A message is a row of sections, each with its length in front. The picture is a PNG image whose
//! grey values are rain rates in tenths of a millimetre an hour; codes below zero say why a cell has
//! none.
//!
//! The sections are taken apart by the `grib` crate, after a walk along their lengths of our own: it
//! trusts them, and a length that lies would make it subtract below zero or ask for gigabytes. The
//! image is unpacked row by row by the `png` crate instead of `grib`'s own decoder, which unpacks
//! all of it at once and turns every cell into a number, where a cut to 300 km needs one cell in 60
//! and nothing below its last row.

use std::io::Cursor;

use fairspell_ground::{Projection, Reading};
use grib::codetables::grib2::Table4_4;
use grib::def::grib2::{DataRepresentationTemplate, GridDefinitionTemplate};
use jiff::{SignedDuration, Timestamp, civil::DateTime, tz::Offset};
use ndarray::Array2;

use super::{Direction, ReadOptions, map, narrowed, sober};
use crate::{Grid, RadarError, RadarRemark, RainField};

/// Discipline 209 is the mosaic's own; category 6, number 1 there is the surface rain rate.
const RAIN_RATE: (u8, u8, u8) = (209, 6, 1);

/// Codes in place of a rate: outside the radars' reach, and missing. NOAA NSSL's table of products.
const NOT_MEASURED_MM_H: [f64; 2] = [-3.0, -1.0];

type Messages<'b> = grib::Grib2<grib::SeekableGrib2Reader<Cursor<&'b [u8]>>>;
type Message<'m, 'b> = grib::SubMessage<'m, grib::SeekableGrib2Reader<Cursor<&'b [u8]>>>;

/// Reads the rain rate fields of a GRIB2 file.
///
/// Regular latitude-longitude grids (template 3.0) in PNG packing (template 5.41), scanned by rows
/// in any direction.
///
/// # Errors
///
/// [`RadarError::Quantity`] when the file holds no rain rate, [`RadarError::Damaged`] when it is cut
/// short, [`RadarError::Unsupported`] for other grids and packings.
///
/// # Source
///
/// WMO Manual on Codes I.2, FM 92 GRIB edition 2; discipline and codes from NOAA NSSL's table of
/// products of the mosaic.
pub fn read_grib2(
    bytes: &[u8],
    options: &ReadOptions,
) -> Result<Reading<Vec<RainField>, RadarRemark>, RadarError> {
    let mut remarks = Vec::new();
    let mut value = Vec::new();
    let mut failure = None;
    let mut read_any = false;
    let walk = each_rain_rate(bytes, &mut |index, message, message_bytes| {
        let field = valid_time(message).and_then(|time| {
            if !options.wants(time) {
                return Ok(None);
            }
            read_field(message, message_bytes, time, options, &mut remarks).map(Some)
        });
        match field {
            Ok(field) => {
                read_any = true;
                value.extend(field);
            }
            Err(error) => {
                let cause = error.to_string();
                remarks.push(RadarRemark::PictureLost { index, cause });
                failure.get_or_insert(error);
            }
        }
    })?;
    match failure {
        Some(error) if !read_any => return Err(error),
        _ => remarks.extend(walk),
    }
    Ok(Reading { value, remarks })
}

/// The moments of the rain rate fields of a GRIB2 file.
///
/// # Errors
///
/// As [`read_grib2`].
pub fn read_grib2_times(bytes: &[u8]) -> Result<Vec<Timestamp>, RadarError> {
    let mut times = Ok(Vec::new());
    each_rain_rate(bytes, &mut |_, message, _| {
        if let Ok(found) = &mut times {
            match valid_time(message) {
                Ok(time) => found.push(time),
                Err(error) => times = Err(error),
            }
        }
    })?;
    times
}

fn damaged(cause: impl Into<String>) -> RadarError {
    RadarError::Damaged { format: "GRIB2", cause: cause.into() }
}

/// Calls `act` with the number of every rain rate message, the message, and the bytes it lies in.
///
/// Returns a remark when the file ends in something that is no message.
fn each_rain_rate(
    bytes: &[u8],
    act: &mut dyn FnMut(usize, &Message, &[u8]),
) -> Result<Option<RadarRemark>, RadarError> {
    let mut others = Vec::new();
    let mut found = false;
    let mut index = 0;
    let mut rest = bytes;
    let mut tail = None;
    while rest.starts_with(b"GRIB") {
        let read = message_length(rest).and_then(|length| {
            let (message_bytes, after) = rest.split_at(length);
            let messages: Messages =
                grib::from_bytes(message_bytes).map_err(|error| damaged(error.to_string()))?;
            Ok((message_bytes, after, messages))
        });
        let (message_bytes, after, messages) = match read {
            Ok(read) => read,
            Err(error) if index == 0 => return Err(error),
            Err(error) => {
                tail = Some(RadarRemark::PictureLost { index, cause: error.to_string() });
                break;
            }
        };
        for (_, message) in &messages {
            let quantity = quantity(&message);
            if quantity == Some(RAIN_RATE) {
                found = true;
                act(index, &message, message_bytes);
            } else {
                others.push(quantity);
            }
            index += 1;
        }
        rest = after;
    }
    if found {
        return Ok(tail);
    }
    Err(RadarError::Quantity {
        expected: "rain rate (discipline 209, category 6, number 1)",
        found: others.first().copied().flatten().map_or_else(
            || "none that we know".to_owned(),
            |(discipline, category, number)| {
                format!("discipline {discipline}, category {category}, number {number}")
            },
        ),
    })
}

/// The length of the message at the start of the bytes, its sections laid end to end exactly.
fn message_length(bytes: &[u8]) -> Result<usize, RadarError> {
    const INDICATOR: usize = 16;
    const END: &[u8] = b"7777";
    let indicator = bytes.first_chunk::<INDICATOR>().ok_or_else(|| damaged("cut short"))?;
    let edition = indicator[7];
    if edition != 2 {
        return Err(RadarError::Unsupported {
            what: "the GRIB edition",
            found: edition.to_string(),
        });
    }
    let [.., a, b, c, d, e, f, g, h] = *indicator;
    let length = usize::try_from(u64::from_be_bytes([a, b, c, d, e, f, g, h]))
        .ok()
        .filter(|length| (INDICATOR + END.len()..=bytes.len()).contains(length))
        .ok_or_else(|| damaged(format!("cut short at {} bytes", bytes.len())))?;
    let (sections, end) = bytes[INDICATOR..length].split_at(length - INDICATOR - END.len());
    if end != END {
        return Err(damaged("no end section"));
    }
    let mut rest = sections;
    while let Some(&[a, b, c, d, number]) = rest.first_chunk() {
        // Five bytes of header, and the sixth that the bitmap section always has.
        let shortest = if number == 6 { 6 } else { 5 };
        let length = u32::from_be_bytes([a, b, c, d]) as usize;
        if !(shortest..=rest.len()).contains(&length) {
            return Err(damaged(format!("section {number} of {length} bytes")));
        }
        rest = &rest[length..];
    }
    if rest.is_empty() { Ok(length) } else { Err(damaged("bytes between the sections")) }
}

/// Discipline, category, number.
fn quantity(message: &Message) -> Option<(u8, u8, u8)> {
    let product = message.prod_def();
    Some((
        message.indicator().discipline,
        product.parameter_category()?,
        product.parameter_number()?,
    ))
}

/// The moment of a picture: the reference time and the lead time from it, which is mostly none.
fn valid_time(message: &Message) -> Result<Timestamp, RadarError> {
    let raw = message.temporal_raw_info();
    let at = raw.ref_time_unchecked;
    let number = |part: u8| i8::try_from(part).unwrap_or(i8::MAX);
    let reference_time = DateTime::new(
        i16::try_from(at.year).unwrap_or(i16::MAX),
        number(at.month),
        number(at.day),
        number(at.hour),
        number(at.minute),
        number(at.second),
        0,
    )
    .and_then(|time| Offset::UTC.to_timestamp(time))
    .map_err(|error| damaged(format!("reference time: {error}")))?;
    let Some(lead) = raw.forecast_time_diff.filter(|lead| lead.value > 0) else {
        return Ok(reference_time);
    };
    let unit_s = match lead.unit {
        grib::Name(Table4_4::Second) => 1,
        grib::Name(Table4_4::Minute) => 60,
        grib::Name(Table4_4::Hour) => 3600,
        other => {
            return Err(RadarError::Unsupported {
                what: "the unit of the lead time",
                found: format!("{other:?}"),
            });
        }
    };
    reference_time
        .checked_add(SignedDuration::from_secs(i64::from(lead.value) * unit_s))
        .map_err(|error| damaged(format!("lead time: {error}")))
}

/// A grid and the directions in which the file runs over it.
struct Scan {
    grid: Grid,
    rows: Direction,
    columns: Direction,
}

fn read_field(
    message: &Message,
    message_bytes: &[u8],
    valid_time: Timestamp,
    options: &ReadOptions,
    remarks: &mut Vec<RadarRemark>,
) -> Result<RainField, RadarError> {
    let scan = scan(message)?;
    let (rows, columns) = options.block(&scan.grid)?;
    let packing = packing(message)?;
    let data = message.7.body;
    let image = message_bytes
        .get(data.offset + 5..data.offset + data.size)
        .ok_or_else(|| damaged("data section outside the message"))?;

    let grid = scan.grid.block(&rows, &columns);
    let mut rain_rate_mm_h = Array2::zeros((grid.rows, grid.columns));
    if packing.bits == 0 {
        rain_rate_mm_h.fill(packing.rate(0));
    } else {
        let file_rows = scan.rows.in_file(&rows, scan.grid.rows);
        let file_columns = scan.columns.in_file(&columns, scan.grid.columns);
        let mut image = open_image(image, &scan.grid, &packing)?;
        for file_row in 0..file_rows.end {
            let line = next_row(&mut image)?;
            if file_row < file_rows.start {
                continue;
            }
            let row = match scan.rows {
                Direction::Ours => file_row - file_rows.start,
                Direction::Reversed => file_rows.end - 1 - file_row,
            };
            let mut target = rain_rate_mm_h.row_mut(row);
            if scan.columns == Direction::Reversed {
                target.invert_axis(ndarray::Axis(0));
            }
            if packing.bits == 16 {
                let (cells, _) = line.as_chunks::<2>();
                for (target, &cell) in target.iter_mut().zip(&cells[file_columns.clone()]) {
                    *target = packing.rate(u16::from_be_bytes(cell));
                }
            } else {
                for (target, &cell) in target.iter_mut().zip(&line[file_columns.clone()]) {
                    *target = packing.rate(u16::from(cell));
                }
            }
        }
    }
    sober(&mut rain_rate_mm_h, valid_time, remarks);
    Ok(RainField { valid_time, grid, rain_rate_mm_h })
}

fn scan(message: &Message) -> Result<Scan, RadarError> {
    let unsupported = |what, found: String| RadarError::Unsupported { what, found };
    let template_number = message.grid_def().grid_tmpl_num();
    if template_number != 0 {
        return Err(unsupported("the grid template", format!("3.{template_number}")));
    }
    let section = message.section3().map_err(|error| damaged(error.to_string()))?;
    let GridDefinitionTemplate::_3_0(template) = section.payload.template else {
        return Err(unsupported("the grid template", format!("3.{template_number}")));
    };
    let lat_lon = template.lat_lon;
    let ends = &lat_lon.grid;
    let mode = lat_lon.scanning_mode;
    // The lower half has offset rows and the like.
    let by_rows = mode.is_consecutive_for_i() && !mode.scans_alternating_rows();
    if !by_rows || mode.0 & 0x0f != 0 {
        return Err(unsupported("the scanning mode", format!("{:#010b}", mode.0)));
    }
    if section.payload.num_point_list_octets != 0 {
        return Err(unsupported("the grid", "rows of different lengths".to_owned()));
    }
    let units_per_deg =
        match (ends.initial_production_domain_basic_angle, ends.basic_angle_subdivisions) {
            (0 | u32::MAX, _) | (_, 0 | u32::MAX) => 1e6,
            (basic_angle, parts) => f64::from(parts) / f64::from(basic_angle),
        };
    if u64::from(ends.ni) * u64::from(ends.nj) != u64::from(section.payload.num_points) {
        return Err(damaged(format!(
            "{} x {} cells, but {} points",
            ends.ni, ends.nj, section.payload.num_points
        )));
    }

    let deg = |units: f64| units / units_per_deg;
    let (ni, nj) = (f64::from(ends.ni), f64::from(ends.nj));
    let west_east = if mode.scans_positively_for_i() {
        (ends.first_point_lon, ends.last_point_lon)
    } else {
        (ends.last_point_lon, ends.first_point_lon)
    };
    let (south, north) = if mode.scans_positively_for_j() {
        (ends.first_point_lat, ends.last_point_lat)
    } else {
        (ends.last_point_lat, ends.first_point_lat)
    };
    let width_deg = (deg(f64::from(west_east.1)) - deg(f64::from(west_east.0))).rem_euclid(360.0);
    let height_deg = deg(f64::from(north)) - deg(f64::from(south));
    let increment = |units: u32| (units != u32::MAX).then(|| deg(f64::from(units)));
    let x_step = increment_deg(increment(lat_lon.i_direction_inc), width_deg, ni)?;
    let y_step = increment_deg(increment(lat_lon.j_direction_inc), height_deg, nj)?;

    // Positions follow from the first point and the increment: in the national mosaic the last
    // point is off by two millionths of a degree.
    let first_lon = deg(f64::from(ends.first_point_lon));
    let first_lat = deg(f64::from(ends.first_point_lat));
    let west =
        if mode.scans_positively_for_i() { first_lon } else { first_lon - (ni - 1.0) * x_step };
    let y_first =
        if mode.scans_positively_for_j() { first_lat + (nj - 1.0) * y_step } else { first_lat };
    let grid = map::checked(Grid {
        projection: Projection::degrees(),
        x_first: if west >= 180.0 { west - 360.0 } else { west },
        y_first,
        x_step,
        y_step,
        rows: ends.nj as usize,
        columns: ends.ni as usize,
    })?;
    if y_first > 90.5 || grid.y_first - (nj - 1.0) * y_step < -90.5 {
        return Err(damaged("latitudes beyond the poles"));
    }
    let direction = |ours: bool| if ours { Direction::Ours } else { Direction::Reversed };
    Ok(Scan {
        grid,
        rows: direction(!mode.scans_positively_for_j()),
        columns: direction(mode.scans_positively_for_i()),
    })
}

/// The step along an axis: the one given, where it leads from the first point to the last.
fn increment_deg(given_deg: Option<f64>, span_deg: f64, count: f64) -> Result<f64, RadarError> {
    let Some(step_deg) = given_deg else {
        return Ok(span_deg / (count - 1.0));
    };
    if (step_deg * (count - 1.0) - span_deg).abs() > step_deg / 2.0 {
        return Err(damaged(format!(
            "{count} steps of {step_deg} degrees over {span_deg} degrees"
        )));
    }
    Ok(step_deg)
}

/// How grey values become rain rates.
struct Packing {
    bits: u8,
    reference: f64,
    binary_scale: f64,
    decimal_scale: f64,
}

impl Packing {
    /// Rain rate, mm/h, of a grey value; NaN for the codes.
    fn rate(&self, grey: u16) -> f32 {
        // Divided rather than multiplied by a power of ten below one, so that codes come out exactly.
        let rate = (self.reference + f64::from(grey) * self.binary_scale) / self.decimal_scale;
        if NOT_MEASURED_MM_H.contains(&rate) { f32::NAN } else { narrowed(rate) }
    }
}

fn packing(message: &Message) -> Result<Packing, RadarError> {
    let unsupported = |what, found: String| RadarError::Unsupported { what, found };
    if let Some(grib::SectionBody::Section6(bitmap)) = &message.6.body.body
        && bitmap.bitmap_indicator != 255
    {
        return Err(unsupported("the bitmap", bitmap.bitmap_indicator.to_string()));
    }
    let template_number = message.repr_def().repr_tmpl_num();
    if template_number != 41 {
        return Err(unsupported("the packing", format!("5.{template_number}")));
    }
    let section = message.section5().map_err(|error| damaged(error.to_string()))?;
    match section.payload.template {
        DataRepresentationTemplate::_5_41(template)
            if matches!(template.simple.num_bits, 0 | 8 | 16) =>
        {
            Ok(Packing {
                bits: template.simple.num_bits,
                reference: f64::from(template.simple.ref_val),
                binary_scale: 2f64.powi(i32::from(template.simple.exp)),
                decimal_scale: 10f64.powi(i32::from(template.simple.dec)),
            })
        }
        DataRepresentationTemplate::_5_41(template) => {
            Err(unsupported("grey values of this many bits", template.simple.num_bits.to_string()))
        }
        _ => Err(unsupported("the packing", format!("5.{template_number}"))),
    }
}

type Image<'b> = png::Reader<Cursor<&'b [u8]>>;

/// The image at its first row, its size and depth being those of the grid and the packing.
fn open_image<'b>(
    bytes: &'b [u8],
    grid: &Grid,
    packing: &Packing,
) -> Result<Image<'b>, RadarError> {
    let mut decoder = png::Decoder::new(Cursor::new(bytes));
    decoder.set_ignore_text_chunk(true);
    decoder.set_ignore_iccp_chunk(true);
    let image = decoder.read_info().map_err(|error| damaged(format!("image: {error}")))?;
    let info = image.info();
    let depth = if packing.bits == 16 { png::BitDepth::Sixteen } else { png::BitDepth::Eight };
    let as_said = (info.width as usize, info.height as usize) == (grid.columns, grid.rows)
        && info.color_type == png::ColorType::Grayscale
        && info.bit_depth == depth
        && !info.interlaced;
    if !as_said {
        return Err(damaged(format!(
            "image of {} x {} {:?} {:?}, expected {} x {} of {} grey bits",
            info.width,
            info.height,
            info.color_type,
            info.bit_depth,
            grid.columns,
            grid.rows,
            packing.bits
        )));
    }
    Ok(image)
}

fn next_row<'i>(image: &'i mut Image<'_>) -> Result<&'i [u8], RadarError> {
    match image.next_row() {
        Ok(Some(row)) => Ok(row.data()),
        Ok(None) => Err(damaged("image cut short")),
        Err(error) => Err(damaged(format!("image: {error}"))),
    }
}
