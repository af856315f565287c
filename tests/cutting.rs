//! The cutting stage from outside: published values, every small case by enumeration, laws, hostile input.

#[path = "cutting/calls.rs"]
mod calls;
#[path = "cutting/corruptions.rs"]
mod corruptions;
#[path = "cutting/enumeration.rs"]
mod enumeration;
#[path = "cutting/laws.rs"]
mod laws;
#[path = "cutting/published.rs"]
mod published;
#[path = "cutting/refusals.rs"]
mod refusals;
#[path = "cutting/watch.rs"]
mod watch;
