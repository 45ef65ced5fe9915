// Small dense linear algebra. A matrix is rows of Float64Array; a set of directions is its columns, each a Float64Array.

export const zeros = (rows, columns) => Array.from({ length: rows }, () => new Float64Array(columns));
export const unit = (size, index) => Float64Array.from({ length: size }, (_, at) => Number(at === index));

export function dot(a, b) {
  let sum = 0;
  for (let at = 0; at < a.length; at += 1) sum += a[at] * b[at];
  return sum;
}

export const times = (matrix, vector) => Float64Array.from(matrix, (row) => dot(row, vector));

/** The inverse of a symmetric positive definite matrix, through its Cholesky factor; null if it isn't one. */
export function invert(matrix) {
  const size = matrix.length;
  const low = zeros(size, size);
  for (let i = 0; i < size; i += 1) {
    for (let j = 0; j <= i; j += 1) {
      let sum = matrix[i][j];
      for (let k = 0; k < j; k += 1) sum -= low[i][k] * low[j][k];
      if (i !== j) low[i][j] = sum / low[j][j];
      else if (sum > 0) low[i][i] = Math.sqrt(sum);
      else return null;
    }
  }
  // The inverse of the factor, by rows; then inverse = factorᵀ⁻¹ factor⁻¹.
  const back = zeros(size, size);
  for (let i = 0; i < size; i += 1) {
    back[i][i] = 1 / low[i][i];
    for (let j = 0; j < i; j += 1) {
      let sum = 0;
      for (let k = j; k < i; k += 1) sum -= low[i][k] * back[k][j];
      back[i][j] = sum / low[i][i];
    }
  }
  const inverse = zeros(size, size);
  for (let i = 0; i < size; i += 1) {
    for (let j = 0; j <= i; j += 1) {
      let sum = 0;
      for (let k = i; k < size; k += 1) sum += back[k][i] * back[k][j];
      inverse[i][j] = inverse[j][i] = sum;
    }
  }
  return inverse;
}

/** Eigenvalues, the smallest first, and their unit vectors, of a small symmetric matrix: Jacobi's rotations. */
export function findEigen(matrix) {
  const size = matrix.length;
  const a = matrix.map((row) => Float64Array.from(row));
  const vectors = Array.from({ length: size }, (_, at) => unit(size, at));
  for (let sweep = 0; sweep < 50; sweep += 1) {
    let off = 0;
    for (let p = 0; p < size; p += 1) {
      for (let q = p + 1; q < size; q += 1) {
        off += Math.abs(a[p][q]);
        if (a[p][q] !== 0) rotate(a, vectors, p, q);
      }
    }
    if (off === 0) break;
  }
  const order = a.map((row, at) => [row[at], vectors[at]]).sort((one, other) => one[0] - other[0]);
  return { values: order.map(([value]) => value), vectors: order.map(([, vector]) => vector) };
}

function rotate(a, vectors, p, q) {
  const lean = (a[q][q] - a[p][p]) / (2 * a[p][q]);
  const tan = (lean < 0 ? -1 : 1) / (Math.abs(lean) + Math.hypot(lean, 1));
  const cos = 1 / Math.hypot(tan, 1);
  const sin = tan * cos;
  for (let k = 0; k < a.length; k += 1) [a[k][p], a[k][q]] = [cos * a[k][p] - sin * a[k][q], sin * a[k][p] + cos * a[k][q]];
  const [rowP, rowQ] = [a[p], a[q]];
  a[p] = rowP.map((value, at) => cos * value - sin * rowQ[at]);
  a[q] = rowP.map((value, at) => sin * value + cos * rowQ[at]);
  a[p][q] = a[q][p] = 0;
  const [one, other] = [vectors[p], vectors[q]];
  vectors[p] = one.map((value, at) => cos * value - sin * other[at]);
  vectors[q] = one.map((value, at) => sin * value + cos * other[at]);
}
