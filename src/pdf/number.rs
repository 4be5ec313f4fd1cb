//! Numbers as they are written into a content stream.

use crate::colour::Colour;

/// Decimals of a size of type.
pub(super) const SIZE_DECIMALS: u32 = 3;

/// Writes a number with at most `decimals` decimals (up to 6), without trailing zeros and never with an exponent.
pub(super) fn number(out: &mut Vec<u8>, value: f64, decimals: u32) {
    const SCALES: [u64; 7] = [1, 10, 100, 1000, 10_000, 100_000, 1_000_000];
    let decimals = (decimals as usize).min(SCALES.len() - 1);
    let scale = SCALES[decimals];
    // A page is at most 14,400 points (ISO 32000-1, annex C), far inside the range of the whole part. Half a unit is added
    // and the rest cut off: `round` is a call on processors that have no instruction for it, and this is the busiest line.
    let scaled = ((value * scale as f64).abs().min(1e15) + 0.5) as u64;
    if scaled == 0 {
        out.push(b'0');
        return;
    }
    let mut digits = [0_u8; 32];
    let mut at = digits.len();
    let (mut whole, mut rest) = (scaled / scale, scaled % scale);
    if rest > 0 {
        let mut left = decimals;
        while rest.is_multiple_of(10) {
            rest /= 10;
            left -= 1;
        }
        for _ in 0..left {
            at -= 1;
            digits[at] = b'0' + (rest % 10) as u8;
            rest /= 10;
        }
        at -= 1;
        digits[at] = b'.';
    }
    // Readers accept ".5", but a leading zero costs little and some pattern matchers want one.
    loop {
        at -= 1;
        digits[at] = b'0' + (whole % 10) as u8;
        whole /= 10;
        if whole == 0 {
            break;
        }
    }
    if value < 0.0 {
        at -= 1;
        digits[at] = b'-';
    }
    out.extend_from_slice(&digits[at..]);
}

/// Rounds as [`number`] does, to reckon on with what was written.
pub(super) fn written(value: f64, decimals: u32) -> f64 {
    let scale = 10_u64.pow(decimals) as f64;
    (value * scale).round() / scale
}

/// A colour as three operands of `rg`, three decimals: enough to get the eight bits back.
pub(super) fn colour_operands(out: &mut Vec<u8>, colour: Colour) {
    for channel in [colour.r, colour.g, colour.b] {
        number(out, f64::from(channel) / 255.0, 3);
        out.push(b' ');
    }
}

/// Numbers with at most so many decimals, each followed by a space.
pub(super) fn operands<const N: usize>(out: &mut Vec<u8>, values: [f64; N], decimals: u32) {
    for value in values {
        number(out, value, decimals);
        out.push(b' ');
    }
}

/// Four hexadecimal digits.
pub(super) fn hexadecimal(out: &mut Vec<u8>, value: u16) {
    const DIGITS: &[u8; 16] = b"0123456789ABCDEF";
    out.extend([12, 8, 4, 0].map(|shift| DIGITS[usize::from(value >> shift & 0xF)]));
}
