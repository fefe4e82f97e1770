import { inverse, Matrix } from 'ml-matrix';
import { type Belief, componentsOf } from './belief.ts';
import { derivatives, type Model } from './propagate.ts';

export interface Observation {
  /** Names the reading depends on. */
  readonly inputs: readonly string[];
  /** What the reading should be, from those. */
  readonly model: Model;
  readonly value: readonly number[];
  /** Of the reading itself, row by row. */
  readonly covariance: readonly number[];
}

export interface Conditioned {
  readonly belief: Belief;
  /** Reading minus what was expected. */
  readonly innovation: readonly number[];
  /** Normalised innovation squared: y' S^-1 y, chi-square with `degreesOfFreedom` when all is well. */
  readonly nis: number;
  readonly degreesOfFreedom: number;
}

/**
 * The belief after a reading (Kalman 1960, first order about the mean; Joseph's form of the covariance, which stays
 * symmetric and cannot turn negative).
 */
export function condition(b: Belief, observation: Observation): Conditioned {
  const n = b.mean.length;
  const m = observation.value.length;
  const components = componentsOf(b, observation.inputs);
  const { value, jacobian } = derivatives(b, observation.inputs, observation.model);
  const H = Matrix.zeros(m, n);
  for (let o = 0; o < m; o += 1)
    components.forEach((c, k) => {
      H.set(o, c, H.get(o, c) + jacobian[o * components.length + k]!);
    });
  const P = Matrix.from1DArray(n, n, [...b.covariance]);
  const R = Matrix.from1DArray(m, m, [...observation.covariance]);
  const y = observation.value.map((v, i) => v - value[i]!);
  const PHt = P.mmul(H.transpose());
  const S = H.mmul(PHt).add(R);
  const Sinv = inverse(S);
  const K = PHt.mmul(Sinv);
  const IKH = Matrix.eye(n).sub(K.mmul(H));
  const joseph = IKH.mmul(P).mmul(IKH.transpose()).add(K.mmul(R).mmul(K.transpose()));
  const symmetric = joseph.clone().add(joseph.transpose()).mul(0.5);
  const Y = Matrix.columnVector(y);
  return {
    belief: {
      slots: b.slots,
      mean: K.mmul(Y)
        .to1DArray()
        .map((v, i) => b.mean[i]! + v),
      covariance: symmetric.to1DArray(),
    },
    innovation: y,
    nis: Y.transpose().mmul(Sinv).mmul(Y).get(0, 0),
    degreesOfFreedom: m,
  };
}
