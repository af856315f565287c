//! How good the result is: chi-square test, redundancy numbers, standardised residuals.

/// Probability that a chi-square variable of `freedom` degrees is at most `x`: the regularised lower incomplete gamma
/// function P(freedom/2, x/2), by its series or continued fraction (Abramowitz & Stegun 6.5.29 and 6.5.31).
pub(super) fn chi_square(x: f64, freedom: usize) -> f64 {
    let (a, x) = (freedom as f64 / 2.0, x / 2.0);
    if x <= 0.0 {
        return 0.0;
    }
    let front = libm::exp(a * libm::log(x) - x - libm::lgamma(a));
    if x < a + 1.0 {
        let (mut term, mut sum, mut k) = (1.0 / a, 1.0 / a, a);
        while term > sum * 1e-16 {
            k += 1.0;
            term *= x / k;
            sum += term;
        }
        sum * front
    } else {
        // Lentz's method.
        let tiny = 1e-300;
        let mut b = x + 1.0 - a;
        let mut c = 1.0 / tiny;
        let mut d = 1.0 / b;
        let mut fraction = d;
        for i in 1..10_000 {
            let an = -(i as f64) * (i as f64 - a);
            b += 2.0;
            d = an * d + b;
            if d.abs() < tiny {
                d = tiny;
            }
            c = b + an / c;
            if c.abs() < tiny {
                c = tiny;
            }
            d = 1.0 / d;
            let factor = d * c;
            fraction *= factor;
            if (factor - 1.0).abs() < 1e-15 {
                break;
            }
        }
        1.0 - front * fraction
    }
}

/// The value that a chi-square variable of `freedom` degrees stays under with this probability, by bisection.
pub(super) fn chi_square_limit(probability: f64, freedom: usize) -> f64 {
    let (mut low, mut high) = (0.0, freedom as f64 + 10.0);
    while chi_square(high, freedom) < probability {
        high *= 2.0;
    }
    for _ in 0..100 {
        let middle = (low + high) / 2.0;
        if chi_square(middle, freedom) < probability { low = middle } else { high = middle }
    }
    (low + high) / 2.0
}

/// Half-axes of the standard error ellipse and the direction of the longer one, in degrees from +x towards +y.
pub(super) fn ellipse(xx: f64, xy: f64, yy: f64) -> (f64, f64, f64) {
    let middle = (xx + yy) / 2.0;
    let half = (xx - yy) / 2.0;
    let spread = (half * half + xy * xy).sqrt();
    let direction = libm::atan2(2.0 * xy, xx - yy) / 2.0;
    ((middle + spread).max(0.0).sqrt(), (middle - spread).max(0.0).sqrt(), direction.to_degrees())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn chi_square_limits_of_the_tables() {
        // Chi-square percentage points, as printed in statistical tables (from memory): 95 % for 1, 2, 10 and 30 degrees.
        for (freedom, limit) in [(1, 3.841), (2, 5.991), (10, 18.307), (30, 43.773)] {
            assert!((chi_square_limit(0.95, freedom) - limit).abs() < 1e-3, "{freedom}");
        }
        // Two degrees of freedom have a closed form: 1 - exp(-x/2).
        for x in [0.1, 1.0, 4.0, 20.0] {
            assert!((chi_square(x, 2) - (1.0 - libm::exp(-x / 2.0))).abs() < 1e-12);
        }
    }

    #[test]
    fn ellipses_of_known_matrices() {
        let (major, minor, direction) = ellipse(4.0, 0.0, 1.0);
        assert!((major - 2.0).abs() + (minor - 1.0).abs() + direction.abs() < 1e-12);
        let (major, minor, direction) = ellipse(2.5, 1.5, 2.5);
        assert!((major - 2.0).abs() + (minor - 1.0).abs() + (direction - 45.0).abs() < 1e-12);
    }
}
