#![no_main]

libfuzzer_sys::fuzz_target!(|data: &[u8]| {
    upstand_tests::fuzz::cutting(data);
});
