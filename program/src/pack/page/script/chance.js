/**
 * The exact chance of at least `right` right answers of `trials` by guessing: the sum of C(n, i) / 2^n for i >= right, the upper
 * tail of the binomial distribution with one half.
 */
function chanceOfGuessing(right, trials) {
    // From the top: all right has one way in 2^n; one less has i/(n - i + 1) times as many.
    let chance = 0.5 ** trials;
    let sum = 0;
    for (let i = trials; i >= right; i -= 1) {
        sum += chance;
        chance *= i / (trials - i + 1);
    }
    return Math.min(sum, 1);
}
