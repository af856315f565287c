//! Arguments from C, checked before anything is read or written through them.

use std::ffi::c_char;
use std::ptr::NonNull;

use upstand::{Code, Error};

fn null(name: &str) -> Error {
    Error::new(Code::NullArgument, "", format!("`{name}` is NULL"))
}

/// A place to write a result to.
pub(crate) struct Output<T>(NonNull<T>);

impl<T> Output<T> {
    pub(crate) fn write(self, value: T) {
        // SAFETY: `output` was promised that it may be written. What was there is plain data and needs no drop.
        unsafe { self.0.as_ptr().write(value) }
    }
}

/// # Safety
/// `pointer` is NULL or may be written until the call returns.
pub(crate) unsafe fn output<T>(pointer: *mut T, name: &str) -> Result<Output<T>, Error> {
    NonNull::new(pointer).map(Output).ok_or_else(|| null(name))
}

/// # Safety
/// `pointer` is NULL or points to a live value that nobody writes to during `'a`.
pub(crate) unsafe fn reference<'a, T>(pointer: *const T, name: &str) -> Result<&'a T, Error> {
    // SAFETY: as the caller promises.
    unsafe { pointer.as_ref() }.ok_or_else(|| null(name))
}

/// # Safety
/// `pointer` is NULL or can be read for `count` items during `'a`.
pub(crate) unsafe fn array<'a, T>(pointer: *const T, count: usize, name: &str) -> Result<&'a [T], Error> {
    if count == 0 {
        return Ok(&[]);
    }
    if pointer.is_null() {
        return Err(null(name));
    }
    match count.checked_mul(size_of::<T>()) {
        // SAFETY: not null, within the address space, and readable as the caller promises.
        Some(size) if isize::try_from(size).is_ok() => Ok(unsafe { std::slice::from_raw_parts(pointer, count) }),
        _ => Err(Error::new(Code::TooLarge, "", format!("`{name}`: {count} items are more than memory can hold"))),
    }
}

/// # Safety
/// `pointer` is NULL or can be read for `length` bytes during `'a`.
pub(crate) unsafe fn text<'a>(pointer: *const c_char, length: usize, name: &str) -> Result<&'a str, Error> {
    // An empty text still needs a place: NULL is a mistake, not a short document.
    if pointer.is_null() {
        return Err(null(name));
    }
    // SAFETY: as the caller promises.
    let bytes = unsafe { array(pointer.cast::<u8>(), length, name) }?;
    std::str::from_utf8(bytes).map_err(|e| Error::new(Code::BadUtf8, "", format!("`{name}` is not UTF-8: {e}")))
}

/// Hands a text over: its length without the final NUL into `*length`, and the text with a NUL into `buffer`, unless
/// that is NULL and the caller asks for the length alone.
///
/// # Safety
/// `buffer` is NULL or may be written for `capacity` bytes; `length` is NULL or may be written.
pub(crate) unsafe fn copy_text(
    text: &str,
    buffer: *mut c_char,
    capacity: usize,
    length: *mut usize,
) -> Result<(), Error> {
    // SAFETY: as the caller promises.
    let length = unsafe { output(length, "length") }?;
    if !buffer.is_null() {
        if capacity <= text.len() {
            return Err(Error::new(
                Code::BufferTooSmall,
                "",
                format!("`buffer` holds {capacity} bytes: {} are needed, the final NUL among them", text.len() + 1),
            ));
        }
        // SAFETY: `buffer` has room for the text and a NUL, and a text of ours never overlaps it.
        unsafe {
            buffer.cast::<u8>().copy_from_nonoverlapping(text.as_ptr(), text.len());
            buffer.add(text.len()).write(0);
        }
    }
    length.write(text.len());
    Ok(())
}

/// Hands items over: their number into `*count`, and the items into `buffer`, unless that is NULL and the caller asks
/// for the number alone. `items` yields at most `total`.
///
/// # Safety
/// `buffer` is NULL or may be written for `capacity` items; `count` is NULL or may be written.
pub(crate) unsafe fn copy_items<T: Copy>(
    items: impl Iterator<Item = T>,
    total: usize,
    buffer: *mut T,
    capacity: usize,
    count: *mut usize,
) -> Result<(), Error> {
    // SAFETY: as the caller promises.
    let count = unsafe { output(count, "count") }?;
    if !buffer.is_null() {
        if capacity < total {
            let message = format!("room for {capacity} items: {total} are needed");
            return Err(Error::new(Code::BufferTooSmall, "", message));
        }
        for (index, item) in items.take(total).enumerate() {
            // SAFETY: `index` is below `total`, for which there is room.
            unsafe { buffer.add(index).write(item) };
        }
    }
    count.write(total);
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn size_products_and_nulls_are_checked_before_memory_is_touched() {
        // SAFETY: refused before it is read.
        let error = unsafe { array(NonNull::<u64>::dangling().as_ptr(), usize::MAX / 4, "lengths") };
        assert_eq!(error.expect_err("too many").code(), Code::TooLarge);
        // SAFETY: NULL is allowed.
        let error = unsafe { array::<u64>(std::ptr::null(), 1, "lengths") };
        assert_eq!(error.expect_err("null").code(), Code::NullArgument);
        // SAFETY: NULL is allowed.
        assert!(unsafe { array::<u64>(std::ptr::null(), 0, "lengths") }.expect("nothing to read").is_empty());
        // SAFETY: NULL is allowed.
        assert_eq!(unsafe { text(std::ptr::null(), 0, "job") }.expect_err("null").code(), Code::NullArgument);
    }

    #[test]
    fn a_text_is_copied_whole_or_not_at_all() {
        let mut buffer = [b'x' as c_char; 4];
        let mut length = 99;
        // SAFETY: the buffer has four bytes.
        let error = unsafe { copy_text("abcd", buffer.as_mut_ptr(), 4, &mut length) }.expect_err("no room for the NUL");
        assert_eq!((error.code(), buffer, length), (Code::BufferTooSmall, [b'x' as c_char; 4], 99));
        // SAFETY: as above.
        unsafe { copy_text("abc", buffer.as_mut_ptr(), 4, &mut length) }.expect("it fits");
        assert_eq!((buffer.map(|byte| byte as u8), length), (*b"abc\0", 3));
        // SAFETY: no buffer: the length is asked for.
        unsafe { copy_text("abcdef", std::ptr::null_mut(), 0, &mut length) }.expect("a query");
        assert_eq!(length, 6);
    }
}
