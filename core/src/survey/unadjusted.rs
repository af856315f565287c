//! What stands for the adjustment in a build without it.

use std::marker::PhantomData;

use super::{Adjusted, Network};
use crate::error::{Code, Error};

/// There is none.
#[expect(dead_code, reason = "without the adjustment there is no solution to construct")]
pub(crate) enum Solution<'a> {
    Never(std::convert::Infallible, PhantomData<&'a ()>),
}

impl<'a> Solution<'a> {
    pub(crate) fn of(_: &'a Network) -> Result<Self, Error> {
        let message = "this build of the library does not adjust measurements: it lacks the feature `adjust`";
        Err(Error::new(Code::BadMeasurement, "", message))
    }

    pub(crate) fn report(&self) -> Result<Adjusted, Error> {
        match *self {
            Solution::Never(never, _) => match never {},
        }
    }

    pub(crate) fn network(&self) -> &'a Network {
        match *self {
            Solution::Never(never, _) => match never {},
        }
    }

    pub(crate) fn sd_mm(&self, _: usize, _: usize) -> f64 {
        match *self {
            Solution::Never(never, _) => match never {},
        }
    }

    pub(crate) fn ring(&self, _: usize) -> Option<&[usize]> {
        match *self {
            Solution::Never(never, _) => match never {},
        }
    }

    pub(crate) fn point(&self, _: &str) -> Option<usize> {
        match *self {
            Solution::Never(never, _) => match never {},
        }
    }
}
