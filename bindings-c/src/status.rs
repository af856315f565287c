use std::ffi::c_char;

use upstand::Code;

/// What a function returns: `UPSTAND_OK` or the number of what went wrong. Treat a number that you do not know as a
/// failure: later versions add some.
#[allow(non_camel_case_types)]
pub type upstand_status = u32;

pub(crate) const OK: upstand_status = 0;

/// Slug and meaning of every status, each with its NUL, in the order of the numbers: static memory, so that a pointer
/// into it stays valid and nothing is left to free.
static WORDS: [u8; size()] = words();

const fn slug_and_meaning(index: usize) -> [&'static [u8]; 2] {
    if index == 0 {
        [b"ok", b"Success."]
    } else {
        let code = Code::ALL[index - 1];
        [code.slug().as_bytes(), code.meaning().as_bytes()]
    }
}

const COUNT: usize = Code::ALL.len() + 1;

/// Where the words of status number `index` begin.
const fn offset(index: usize) -> usize {
    let (mut at, mut i) = (0, 0);
    while i < index {
        let [slug, meaning] = slug_and_meaning(i);
        at += slug.len() + meaning.len() + 2;
        i += 1;
    }
    at
}

const fn size() -> usize {
    offset(COUNT)
}

const fn words() -> [u8; size()] {
    let mut bytes = [0; size()];
    let (mut at, mut i) = (0, 0);
    while i < COUNT {
        let [slug, meaning] = slug_and_meaning(i);
        let mut j = 0;
        while j < slug.len() {
            bytes[at + j] = slug[j];
            j += 1;
        }
        at += slug.len() + 1;
        j = 0;
        while j < meaning.len() {
            bytes[at + j] = meaning[j];
            j += 1;
        }
        at += meaning.len() + 1;
        i += 1;
    }
    bytes
}

fn index_of(status: upstand_status) -> Option<usize> {
    if status == OK {
        return Some(0);
    }
    Code::ALL.binary_search_by_key(&status, |code| code.number()).ok().map(|index| index + 1)
}

/// The stable name of a status, such as "self_crossing"; "ok" for 0; NULL for a number that this version does not know.
///
/// The text is static: it is never freed. Any thread may call this.
#[unsafe(no_mangle)]
pub extern "C" fn upstand_status_slug(status: upstand_status) -> *const c_char {
    index_of(status).map_or(std::ptr::null(), |index| WORDS[offset(index)..].as_ptr().cast())
}

/// One or two sentences on when a status occurs; NULL for a number that this version does not know.
///
/// The text is static: it is never freed. Any thread may call this.
#[unsafe(no_mangle)]
pub extern "C" fn upstand_status_meaning(status: upstand_status) -> *const c_char {
    let after_slug = |index| offset(index) + slug_and_meaning(index)[0].len() + 1;
    index_of(status).map_or(std::ptr::null(), |index| WORDS[after_slug(index)..].as_ptr().cast())
}

/// How many statuses there are, `UPSTAND_OK` among them.
///
/// Any thread may call this.
#[unsafe(no_mangle)]
pub extern "C" fn upstand_status_count() -> usize {
    COUNT
}

/// Status number `index`, from 0 in rising order; `UPSTAND_OK` for an index that is too large.
///
/// Any thread may call this.
#[unsafe(no_mangle)]
pub extern "C" fn upstand_status_at(index: usize) -> upstand_status {
    index.checked_sub(1).and_then(|index| Code::ALL.get(index)).map_or(OK, |code| code.number())
}

#[cfg(test)]
mod tests {
    use std::ffi::CStr;

    use super::*;

    #[test]
    fn every_status_has_its_words_and_no_other_number_has() {
        for number in 0..1_000 {
            let code = Code::ALL.iter().find(|code| code.number() == number);
            let slug = upstand_status_slug(number);
            assert_eq!(slug.is_null(), number != OK && code.is_none(), "{number}");
            assert_eq!(upstand_status_meaning(number).is_null(), slug.is_null());
            if let Some(code) = code {
                // SAFETY: not null, as just checked, and static.
                assert_eq!(unsafe { CStr::from_ptr(slug) }.to_str(), Ok(code.slug()));
                // SAFETY: as above.
                let meaning = unsafe { CStr::from_ptr(upstand_status_meaning(number)) };
                assert_eq!(meaning.to_str(), Ok(code.meaning()));
            }
        }
        assert_eq!(upstand_status_count(), Code::ALL.len() + 1);
        assert_eq!(upstand_status_at(1), Code::ALL[0].number());
        assert_eq!(upstand_status_at(usize::MAX), OK);
    }
}
