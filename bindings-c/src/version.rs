use std::ffi::{CStr, c_char};

/// Version of the binary interface. It rises when a function changes or goes, never when one is added.
pub const UPSTAND_ABI_VERSION: u32 = 1;

const VERSION: &CStr = match CStr::from_bytes_with_nul(concat!(env!("CARGO_PKG_VERSION"), "\0").as_bytes()) {
    Ok(version) => version,
    Err(_) => panic!("a version has no NUL"),
};

/// The library's version, such as "0.1.0": equal to `UPSTAND_VERSION` of the header that it was built with.
///
/// The text is static: it is never freed and stays valid as long as the library is loaded. Any thread may call this.
#[unsafe(no_mangle)]
pub extern "C" fn upstand_version() -> *const c_char {
    VERSION.as_ptr()
}

/// `UPSTAND_ABI_VERSION` of the library that is loaded: compare it with the header's when loading at run time.
///
/// Any thread may call this.
#[unsafe(no_mangle)]
pub extern "C" fn upstand_abi_version() -> u32 {
    UPSTAND_ABI_VERSION
}
