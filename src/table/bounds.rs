//! Lower bounds on the cost of any order of tests: Huffman code length and entropy, turned into cost.

/// Shannon entropy of a distribution in bits; zero terms count nothing.
pub fn entropy_bits(p: &[f64]) -> f64 {
    let sum: f64 = p.iter().filter(|p| **p > 0.0).map(|p| p * p.log2()).sum();
    if sum < 0.0 { -sum } else { 0.0 }
}

/// The expected length of the optimal `arity`-ary prefix code for `weights` (Huffman 1952), divided by their sum.
///
/// For more than two branches the weights are padded with zeros until (n − 1) mod (arity − 1) = 0, so that every merge is
/// full. With fewer than two branches nothing can be told apart and the length is 0.
pub fn huffman_length(weights: &[f64], arity: usize) -> f64 {
    let total: f64 = weights.iter().sum();
    if weights.len() < 2 || arity < 2 || total <= 0.0 {
        return 0.0;
    }
    let mut rest = weights.to_vec();
    while !(rest.len() - 1).is_multiple_of(arity - 1) {
        rest.push(0.0);
    }
    rest.sort_by(|a, b| b.total_cmp(a));
    let mut length = 0.0;
    while rest.len() > 1 {
        let merged: f64 = rest.split_off(rest.len() - arity).iter().sum();
        length += merged;
        let place = rest.partition_point(|w| *w >= merged);
        rest.insert(place, merged);
    }
    length / total
}

/// The least cost of `length` distinct tests on average: the cheapest whole number of them and a share of the next.
///
/// Admissible since the cost of the n cheapest tests is convex in n, so the mean over paths is at least the cost of the
/// mean length (Jensen). Longer than there are tests counts as all of them.
pub fn cost_bound(length: f64, costs: &[f64]) -> f64 {
    let mut sorted = costs.to_vec();
    sorted.sort_by(f64::total_cmp);
    let mut left = length.max(0.0);
    let mut bound = 0.0;
    for cost in sorted {
        let share = left.min(1.0);
        bound += share * cost;
        left -= share;
        if left <= 0.0 {
            break;
        }
    }
    bound
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_symbol_needs_no_question() {
        assert_eq!(huffman_length(&[1.0], 2), 0.0);
        assert_eq!(huffman_length(&[], 2), 0.0);
        assert_eq!(huffman_length(&[0.5, 0.5], 1), 0.0);
        assert_eq!(huffman_length(&[0.5, 0.5], 5), 1.0);
    }

    #[test]
    fn the_length_lies_within_one_of_the_entropy() {
        for n in 2..40_u32 {
            let p: Vec<f64> = (1..=n).map(|i| f64::from(i * i % 17 + 1)).collect();
            let sum: f64 = p.iter().sum();
            let h = entropy_bits(&p.iter().map(|x| x / sum).collect::<Vec<_>>());
            let w = huffman_length(&p, 2);
            assert!(h <= w + 1e-12 && w < h + 1.0, "{n}: {h} {w}");
        }
    }

    #[test]
    fn more_tests_than_there_are_cost_all_of_them() {
        assert_eq!(cost_bound(9.0, &[1.0, 2.0]), 3.0);
        assert_eq!(cost_bound(0.0, &[1.0]), 0.0);
    }
}
