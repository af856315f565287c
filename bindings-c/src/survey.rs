use std::ffi::c_char;
use std::sync::OnceLock;

use upstand::geometry::Point;
use upstand::survey::adjust::{self, Adjusted, Network};
use upstand::survey::{imperial, levels, traverse};
use upstand::{Code, Error, Length, Roof, wet, wire};

use crate::argument::{array, copy_items, copy_text, output, reference, text};
use crate::context::{Context, guard};
use crate::status::upstand_status;

/// The positions that fit tape measurements best. It never changes: any number of threads may read one at the same time.
pub struct AdjustedNetwork {
    adjusted: Adjusted,
    json: OnceLock<String>,
}

/// Adjusts a network of tape measurements, a JSON document of `network_length` bytes (`upstand/network/1`). Free the
/// result with `upstand_adjusted_free`.
///
/// On failure the context keeps what is wrong: `UPSTAND_BAD_MEASUREMENT`, `UPSTAND_FLOATING_POINT` where nothing holds a
/// point, `UPSTAND_CLASH` where no positions come near.
///
/// # Safety
/// `context` is NULL or a live context that no other thread uses; `network` is NULL or can be read for `network_length`
/// bytes; `adjusted` is NULL or may be written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn upstand_adjusted_new(
    context: *mut Context,
    network: *const c_char,
    network_length: usize,
    adjusted: *mut *mut AdjustedNetwork,
) -> upstand_status {
    let work = || {
        // SAFETY: as the caller promises.
        let (network, output) = unsafe { (text(network, network_length, "network")?, output(adjusted, "adjusted")?) };
        let adjusted = adjust::adjust(&Network::from_json(network)?)?;
        output.write(Box::into_raw(Box::new(AdjustedNetwork { adjusted, json: OnceLock::new() })));
        Ok(())
    };
    // SAFETY: as the caller promises.
    unsafe { guard(context, work) }
}

/// The result as JSON (`upstand/adjusted/1`) into `buffer`. With `buffer` NULL only `*length` is written.
///
/// # Safety
/// `context` is NULL or a live context that no other thread uses; `adjusted` is NULL or live; `buffer` is NULL or may be
/// written for `capacity` bytes; `length` is NULL or may be written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn upstand_adjusted_to_json(
    context: *mut Context,
    adjusted: *const AdjustedNetwork,
    buffer: *mut c_char,
    capacity: usize,
    length: *mut usize,
) -> upstand_status {
    let work = || {
        // SAFETY: as the caller promises.
        let adjusted = unsafe { reference(adjusted, "adjusted") }?;
        let json = adjusted.json.get_or_init(|| adjusted.adjusted.to_json());
        // SAFETY: as the caller promises.
        unsafe { copy_text(json, buffer, capacity, length) }
    };
    // SAFETY: as the caller promises.
    unsafe { guard(context, work) }
}

/// Frees a result. NULL is allowed and does nothing.
///
/// # Safety
/// `adjusted` is NULL or comes from this library, was not freed, and no thread uses it.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn upstand_adjusted_free(adjusted: *mut AdjustedNetwork) {
    if !adjusted.is_null() {
        // SAFETY: the caller promises that it is ours and still alive.
        drop(unsafe { Box::from_raw(adjusted) });
    }
}

/// Closes a traverse that begins at the origin by the compass rule: `count` legs, each a length and an azimuth in
/// degrees clockwise from +y. Writes the corners, beginning with the start, as x and y in turn (2 `count` numbers) to
/// `corners_um`, which may be NULL to ask for `*corner_numbers` alone.
///
/// # Safety
/// `context` is NULL or a live context that no other thread uses; `lengths_um` and `azimuths_deg` are NULL or can be read
/// for `count` items; `corners_um` is NULL or may be written for `capacity` items; `corner_numbers` is NULL or may be
/// written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn upstand_traverse_close(
    context: *mut Context,
    lengths_um: *const i64,
    azimuths_deg: *const f64,
    count: usize,
    corners_um: *mut i64,
    capacity: usize,
    corner_numbers: *mut usize,
) -> upstand_status {
    let work = || {
        // SAFETY: as the caller promises.
        let (lengths, azimuths) =
            unsafe { (array(lengths_um, count, "lengths_um")?, array(azimuths_deg, count, "azimuths_deg")?) };
        let leg = |(&um, &azimuth_deg): (&i64, &f64)| traverse::Leg { length: Length::from_um(um), azimuth_deg };
        let legs: Vec<traverse::Leg> = lengths.iter().zip(azimuths).map(leg).collect();
        let closed = traverse::close(Point::default(), &legs)?;
        let numbers = closed.points.iter().flat_map(|point| [point.x.um(), point.y.um()]);
        // SAFETY: as the caller promises.
        unsafe { copy_items(numbers, 2 * closed.points.len(), corners_um, capacity, corner_numbers) }
    };
    // SAFETY: as the caller promises.
    unsafe { guard(context, work) }
}

/// Reads a length in feet and inches, such as `12' 6 3/8"`, of `written_length` bytes, into `*length_um`.
///
/// # Safety
/// `context` is NULL or a live context that no other thread uses; `written` is NULL or can be read for `written_length`
/// bytes; `length_um` is NULL or may be written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn upstand_imperial_read(
    context: *mut Context,
    written: *const c_char,
    written_length: usize,
    length_um: *mut i64,
) -> upstand_status {
    let work = || {
        // SAFETY: as the caller promises.
        let (written, output) = unsafe { (text(written, written_length, "written")?, output(length_um, "length_um")?) };
        output.write(imperial::read(written)?.um());
        Ok(())
    };
    // SAFETY: as the caller promises.
    unsafe { guard(context, work) }
}

/// Prints a length in feet, inches and a fraction of 1/`denominator` inch into `buffer`. With `buffer` NULL only
/// `*length` is written.
///
/// # Safety
/// `context` is NULL or a live context that no other thread uses; `buffer` is NULL or may be written for `capacity` bytes;
/// `length` is NULL or may be written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn upstand_imperial_print(
    context: *mut Context,
    length_um: i64,
    denominator: u32,
    buffer: *mut c_char,
    capacity: usize,
    length: *mut usize,
) -> upstand_status {
    let work = || {
        if denominator == 0 {
            return Err(Error::new(Code::BadArgument, "", "a denominator of 0: at least 1 is needed"));
        }
        let printed = imperial::print(Length::from_um(length_um), denominator);
        // SAFETY: as the caller promises.
        unsafe { copy_text(&printed, buffer, capacity, length) }
    };
    // SAFETY: as the caller promises.
    unsafe { guard(context, work) }
}

/// Falls, ponds and the ways of water on one roof whose corners have levels, as JSON into `buffer`; `null` where a corner has
/// none. `roof` is a roof as it stands in a job, `levels` a JSON list of `{"at": [x, y], "level": z}` in millimetres, or NULL
/// for none; both are of the lengths given in bytes. With `buffer` NULL only `*length` is written.
///
/// # Safety
/// `context` is NULL or a live context that no other thread uses; `roof` and `levels` are NULL or can be read for their
/// lengths; `buffer` is NULL or may be written for `capacity` bytes; `length` is NULL or may be written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn upstand_drain(
    context: *mut Context,
    roof: *const c_char,
    roof_length: usize,
    levels: *const c_char,
    levels_length: usize,
    buffer: *mut c_char,
    capacity: usize,
    length: *mut usize,
) -> upstand_status {
    let work = || {
        // SAFETY: as the caller promises.
        let roof = unsafe { text(roof, roof_length, "roof") }?;
        let readings = if levels.is_null() {
            Vec::new()
        } else {
            // SAFETY: as the caller promises.
            levels::readings(wire::parse(unsafe { text(levels, levels_length, "levels") }?)?)?
        };
        let found = levels::drain_roof(&Roof::from_value(wire::parse(roof)?)?, &readings)?;
        let json = found.map_or_else(|| "null".to_string(), |found| found.to_json());
        // SAFETY: as the caller promises.
        unsafe { copy_text(&json, buffer, capacity, length) }
    };
    // SAFETY: as the caller promises.
    unsafe { guard(context, work) }
}

/// The frost point of air of a temperature and a relative humidity, over liquid water, into `*frost_point_c`: where frost
/// forms. It means something only below zero.
///
/// # Safety
/// `context` is NULL or a live context that no other thread uses; `frost_point_c` is NULL or may be written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn upstand_frost_point(
    context: *mut Context,
    air_c: f64,
    humidity_percent: f64,
    frost_point_c: *mut f64,
) -> upstand_status {
    let work = || {
        // SAFETY: as the caller promises.
        let output = unsafe { output(frost_point_c, "frost_point_c") }?;
        output.write(wet::frost_point_c(air_c, humidity_percent)?);
        Ok(())
    };
    // SAFETY: as the caller promises.
    unsafe { guard(context, work) }
}

/// The dew point of air of a temperature and a relative humidity into `*dew_point_c`, over water also below zero.
///
/// # Safety
/// `context` is NULL or a live context that no other thread uses; `dew_point_c` is NULL or may be written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn upstand_dew_point(
    context: *mut Context,
    air_c: f64,
    humidity_percent: f64,
    dew_point_c: *mut f64,
) -> upstand_status {
    let work = || {
        // SAFETY: as the caller promises.
        let output = unsafe { output(dew_point_c, "dew_point_c") }?;
        output.write(wet::dew_point_c(air_c, humidity_percent)?);
        Ok(())
    };
    // SAFETY: as the caller promises.
    unsafe { guard(context, work) }
}
