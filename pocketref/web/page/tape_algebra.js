// Small dense linear algebra. A matrix is rows of Float64Array; a set of directions is its columns, each a Float64Array.

export const zeros = (rows, columns) => Array.from({ length: rows }, () => new Float64Array(columns));
export const unit = (size, index) => Float64Array.from({ length: size }, (_, at) => Number(at === index));

export function dot(a, b) {
  let sum = 0;
  for (let at = 0; at < a.length; at += 1) sum += a[at] * b[at];
  return sum;
}

export const times = (matrix, vector) => Float64Array.from(matrix, (row) => dot(row, vector));

/** The lower Cholesky factor of a symmetric positive definite matrix; null if it isn't one. */
export function factorize(matrix) {
  const size = matrix.length;
  const low = zeros(size, size);
  for (let i = 0; i < size; i += 1) {
    const row = low[i];
    for (let j = 0; j <= i; j += 1) {
      const other = low[j];
      let sum = matrix[i][j];
      for (let k = 0; k < j; k += 1) sum -= row[k] * other[k];
      if (i !== j) row[j] = sum / other[j];
      else if (sum > 0) row[i] = Math.sqrt(sum);
      else return null;
    }
  }
  return low;
}

/** The solution of the equations whose matrix has this factor. */
export function solveBy(low, right) {
  const solved = Float64Array.from(right);
  for (let i = 0; i < low.length; i += 1) {
    for (let k = 0; k < i; k += 1) solved[i] -= low[i][k] * solved[k];
    solved[i] /= low[i][i];
  }
  for (let i = low.length - 1; i >= 0; i -= 1) {
    solved[i] /= low[i][i];
    for (let k = 0; k < i; k += 1) solved[k] -= low[i][k] * solved[i];
  }
  return solved;
}

/** The inverse of the matrix that has this factor: inverse = factorᵀ⁻¹ factor⁻¹. */
export function invertBy(low) {
  const size = low.length;
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
  back.forEach((row, last) => {
    for (let i = 0; i <= last; i += 1) {
      const [one, into] = [row[i], inverse[i]];
      for (let j = 0; j <= i; j += 1) into[j] += one * row[j];
    }
  });
  for (let i = 0; i < size; i += 1) for (let j = 0; j < i; j += 1) inverse[j][i] = inverse[i][j];
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
