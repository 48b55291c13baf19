#include "conduction/kernels.hpp"

#include <cmath>
#include <limits>
#include <utility>

#if defined(__GNUC__) && !defined(__clang__) && defined(__x86_64__) && defined(__linux__) &&                 \
    defined(__OPTIMIZE__) && !defined(__SANITIZE_ADDRESS__)
#define TQ_FOR_EVERY_PROCESSOR __attribute__((target_clones("arch=x86-64-v4", "arch=x86-64-v3", "default")))
#else
#define TQ_FOR_EVERY_PROCESSOR
#endif

namespace tq::conduction::kernels {

TQ_FOR_EVERY_PROCESSOR
void conduct(std::size_t nx, std::size_t ny, const double* __restrict T, const double* __restrict k,
             const double* __restrict along, const double* __restrict across,
             const double* __restrict diagonal, const double* __restrict inverse_mass, double share_first,
             double share_last, double* __restrict buffer, double* __restrict du) {
  const std::size_t stride = nx + 8;
  // fluxes along the row (x), across to the next row (up) and from the row before (down), and the two
  // diagonals
  double* x = buffer + 1;
  double* up = x + stride;
  double* down = up + stride;
  double* rising = down + stride;
  double* falling = rising + stride;
  double* below = falling + stride; // what the cells under this row give to it by their diagonals
  double* net = below + stride;     // heat from across of the row before
  for (std::size_t i = 0; i < nx; ++i)
    down[i] = below[i] = 0;
  x[-1] = rising[-1] = falling[-1] = 0;
  for (std::size_t j = 0; j < ny; ++j) {
    const std::size_t o = j * nx;
    const double* __restrict t = T + o;
    const double* __restrict c = k + o;
    const double* __restrict g = along + o;
    const double* __restrict im = inverse_mass + o;
    double* __restrict d = du + o;
    // one pass for all fluxes that start here, so that each number is loaded once
    double* __restrict fx = x;
    double* __restrict fu = up;
    double* __restrict fr = rising;
    double* __restrict ff = falling;
    const double* __restrict fd = down;
    double* __restrict fb = below;
    double* __restrict fn = net;
    fx[nx - 1] = 0;
    if (j + 1 == ny) {
      for (std::size_t i = 0; i + 1 < nx; ++i)
        fx[i] = g[i] * 0.5 * (c[i] + c[i + 1]) * (t[i + 1] - t[i]);
      for (std::size_t i = 0; i < nx; ++i)
        d[i] = ((fx[i] - fx[i - 1]) - fd[i] + fb[i] - share_last * fn[i]) * im[i];
      break;
    }
    const double taken = 1.0 + (j + 2 == ny ? share_last : 0.0) + (j == 1 ? share_first : 0.0);
    const double* __restrict tn = t + nx;
    const double* __restrict cn = c + nx;
    const double* __restrict ga = across + o;
    fu[nx - 1] = ga[nx - 1] * 0.5 * (c[nx - 1] + cn[nx - 1]) * (tn[nx - 1] - t[nx - 1]);
    if (diagonal) {
      const double* __restrict s = diagonal + o;
      for (std::size_t i = 0; i + 1 < nx; ++i) {
        const double c0 = c[i], c1 = c[i + 1], cn0 = cn[i], cn1 = cn[i + 1];
        const double t0 = t[i], t1 = t[i + 1], tn0 = tn[i], tn1 = tn[i + 1];
        const double row = c0 + c1;
        fx[i] = g[i] * 0.5 * row * (t1 - t0);
        fu[i] = ga[i] * 0.5 * (c0 + cn0) * (tn0 - t0);
        const double q = s[i] * 0.25 * (row + (cn0 + cn1));
        fr[i] = q * (tn1 - t0);
        ff[i] = q * (tn0 - t1);
      }
      fr[nx - 1] = ff[nx - 1] = 0;
      const double* x_before = fx - 1;
      const double* f_before = ff - 1;
      const double* r_before = fr - 1;
      for (std::size_t i = 0; i < nx; ++i) {
        const double y = (fu[i] - fd[i]) + fb[i] - (fr[i] - f_before[i]);
        fn[i] = y;
        d[i] = ((fx[i] - x_before[i]) + taken * y) * im[i];
        fb[i] = r_before[i] - ff[i];
      }
    } else {
      for (std::size_t i = 0; i + 1 < nx; ++i) {
        fx[i] = g[i] * 0.5 * (c[i] + c[i + 1]) * (t[i + 1] - t[i]);
        fu[i] = ga[i] * 0.5 * (c[i] + cn[i]) * (tn[i] - t[i]);
      }
      for (std::size_t i = 0; i < nx; ++i) {
        const double y = fu[i] - fd[i];
        fn[i] = y;
        d[i] = ((fx[i] - fx[i - 1]) + taken * y) * im[i];
      }
    }
    if (j == 1 && share_first > 0)
      for (std::size_t i = 0; i < nx; ++i)
        du[i] -= share_first * fn[i] * inverse_mass[i];
    std::swap(up, down);
  }
}

TQ_FOR_EVERY_PROCESSOR
void face_conductances(std::size_t nx, std::size_t ny, const double* __restrict k,
                       const double* __restrict along, const double* __restrict across, double* __restrict kx,
                       double* __restrict ky) {
  const std::size_t n = nx * ny;
  for (std::size_t i = 0; i + 1 < n; ++i) // the last of a row has along = 0
    kx[i] = along[i] * 0.5 * (k[i] + k[i + 1]);
  kx[n - 1] = 0;
  for (std::size_t i = 0; i + nx < n; ++i)
    ky[i] = across[i] * 0.5 * (k[i] + k[i + nx]);
  for (std::size_t i = n - nx; i < n; ++i)
    ky[i] = 0;
}

TQ_FOR_EVERY_PROCESSOR
void factorise_across(std::size_t nx, std::size_t ny, double g, const double* __restrict mc,
                      const double* __restrict ky, const double* first, const double* last,
                      const FlankRows& flanks, double* __restrict inverse, double* __restrict multiplier) {
  const bool shared = flanks.area_first > 0;
  const double* eliminated = nullptr; // the multipliers of the row before that are not g ky / pivot, if any
  for (std::size_t j = 0; j < ny; ++j) {
    const bool to_last = j + 2 == ny;
    const double own =
        1.0 - (shared && j == 1 ? flanks.area_first : 0.0) - (to_last ? flanks.area_last : 0.0);
    const std::size_t o = j * nx;
    double* __restrict inv = inverse + o;
    double* __restrict mul = multiplier + o;
    for (std::size_t i = 0; i < nx; ++i)
      inv[i] = own * mc[o + i] + g * ky[o + i];
    if (j > 0)
      for (std::size_t i = 0; i < nx; ++i)
        inv[i] += g * ky[o - nx + i] * (1.0 - eliminated[i]);
    if (j == 0 && first)
      for (std::size_t i = 0; i < nx; ++i)
        inv[i] += g * first[i];
    if (j + 1 == ny && last)
      for (std::size_t i = 0; i < nx; ++i)
        inv[i] += g * last[i];
    for (std::size_t i = 0; i < nx; ++i) {
      inv[i] = 1.0 / inv[i];
      mul[i] = g * ky[o + i] * inv[i];
    }
    eliminated = mul;
    if (to_last) {
      for (std::size_t i = 0; i < nx; ++i)
        flanks.into_last[i] = mul[i] - flanks.area_last * mc[o + i] * inv[i];
      eliminated = flanks.into_last;
    } else if (shared && j == 0) {
      for (std::size_t i = 0; i < nx; ++i) {
        flanks.from_first[i] = mul[i];
        mul[i] -= flanks.area_first * mc[nx + i] * inv[i];
      }
    }
  }
}

namespace {

// Splits `lines` rows into nearly equal bundles of at most nine, so that no row is left to wait for itself.
#define TQ_IN_BUNDLES(lines, rows)                                                                           \
  for (std::size_t bundles = (lines + 8) / 9, left = lines; bundles > 0; --bundles) {                        \
    const std::size_t now = (left + bundles - 1) / bundles;                                                  \
    left -= now;                                                                                             \
    switch (now) {                                                                                           \
    case 9:                                                                                                  \
      rows.template operator()<9>();                                                                         \
      break;                                                                                                 \
    case 8:                                                                                                  \
      rows.template operator()<8>();                                                                         \
      break;                                                                                                 \
    case 7:                                                                                                  \
      rows.template operator()<7>();                                                                         \
      break;                                                                                                 \
    case 6:                                                                                                  \
      rows.template operator()<6>();                                                                         \
      break;                                                                                                 \
    case 5:                                                                                                  \
      rows.template operator()<5>();                                                                         \
      break;                                                                                                 \
    case 4:                                                                                                  \
      rows.template operator()<4>();                                                                         \
      break;                                                                                                 \
    case 3:                                                                                                  \
      rows.template operator()<3>();                                                                         \
      break;                                                                                                 \
    case 2:                                                                                                  \
      rows.template operator()<2>();                                                                         \
      break;                                                                                                 \
    default:                                                                                                 \
      rows.template operator()<1>();                                                                         \
      break;                                                                                                 \
    }                                                                                                        \
  }

/// One bundle of R neighbouring rows, so that R independent recurrences overlap.
template <int R>
[[gnu::always_inline]] inline void factorise_rows(std::size_t nx, double g, const double* __restrict mc,
                                                  const double* __restrict kx, const double* first,
                                                  const double* last, double* __restrict inverse,
                                                  double* __restrict multiplier) {
  double before[R], mul[R];
  for (int r = 0; r < R; ++r)
    before[r] = mul[r] = 0;
  for (std::size_t i = 0; i < nx; ++i)
    for (int r = 0; r < R; ++r) {
      const std::size_t n = static_cast<std::size_t>(r) * nx + i;
      const double couple = g * kx[n];
      double d = mc[n] + couple + before[r] * (1.0 - mul[r]);
      if (i == 0 && first)
        d += g * first[r];
      if (i + 1 == nx && last)
        d += g * last[r];
      const double inv = 1.0 / d;
      inverse[n] = inv;
      mul[r] = couple * inv;
      multiplier[n] = mul[r];
      before[r] = couple;
    }
}

template <int R>
[[gnu::always_inline]] inline void
solve_rows(std::size_t nx, const double* __restrict inverse, const double* __restrict multiplier,
           const double* __restrict before, const double* __restrict after, const double* in, double* out) {
  double carry[R];
  for (int r = 0; r < R; ++r)
    carry[r] = 0;
  for (std::size_t i = 0; i < nx; ++i)
    for (int r = 0; r < R; ++r) {
      const std::size_t n = static_cast<std::size_t>(r) * nx + i;
      const double w = before[n] * in[n] + carry[r];
      out[n] = w * inverse[n];
      carry[r] = multiplier[n] * w;
    }
  for (int r = 0; r < R; ++r)
    carry[r] = 0;
  for (std::size_t i = nx; i-- > 0;)
    for (int r = 0; r < R; ++r) {
      const std::size_t n = static_cast<std::size_t>(r) * nx + i;
      carry[r] = out[n] + multiplier[n] * carry[r];
      out[n] = after[n] * carry[r];
    }
}

} // namespace

TQ_FOR_EVERY_PROCESSOR
void factorise_along(std::size_t nx, std::size_t ny, double g, const double* mc, const double* kx,
                     const double* first, const double* last, double* inverse, double* multiplier) {
  std::size_t j = 0;
  const auto rows = [&]<int R>() __attribute__((always_inline)) {
    const std::size_t o = j * nx;
    factorise_rows<R>(nx, g, mc + o, kx + o, first ? first + j : nullptr, last ? last + j : nullptr,
                      inverse + o, multiplier + o);
    j += R;
  };
  TQ_IN_BUNDLES(ny, rows)
}

TQ_FOR_EVERY_PROCESSOR
void solve_across(std::size_t nx, std::size_t ny, const double* __restrict inverse,
                  const double* __restrict multiplier, const FlankRows& flanks, double* __restrict work,
                  const double* __restrict after, double* __restrict out) {
  const bool shared = flanks.area_first > 0;
  const auto store = [&](std::size_t outer, std::size_t next, double area) {
    double* __restrict a = work + outer * nx;
    double* __restrict b = work + next * nx;
    for (std::size_t i = 0; i < nx; ++i) {
      const double moved = area * b[i];
      a[i] += moved;
      b[i] -= moved;
    }
  };
  if (shared)
    store(0, 1, flanks.area_first);
  // of three rows the middle one has given to the first already
  store(ny - 1, ny - 2, shared && ny == 3 ? flanks.area_last / (1.0 - flanks.area_first) : flanks.area_last);
  for (std::size_t j = 1; j < ny; ++j) {
    const double* __restrict m = multiplier + (j - 1) * nx;
    if (j + 1 == ny)
      m = flanks.into_last;
    else if (shared && j == 1)
      m = flanks.from_first;
    const double* __restrict a = work + (j - 1) * nx;
    double* __restrict b = work + j * nx;
    for (std::size_t i = 0; i < nx; ++i)
      b[i] += m[i] * a[i];
  }
  {
    const std::size_t o = (ny - 1) * nx;
    for (std::size_t i = o; i < o + nx; ++i) {
      work[i] *= inverse[i];
      out[i] = after[i] * work[i];
    }
  }
  for (std::size_t j = ny - 1; j-- > 0;) {
    const std::size_t o = j * nx;
    const double* __restrict m = multiplier + o;
    const double* __restrict v = inverse + o;
    const double* __restrict w = after + o;
    const double* __restrict b = work + o + nx;
    double* __restrict a = work + o;
    double* __restrict u = out + o;
    for (std::size_t i = 0; i < nx; ++i) {
      const double z = v[i] * a[i] + m[i] * b[i];
      a[i] = z;
      u[i] = w[i] * z;
    }
  }
}

TQ_FOR_EVERY_PROCESSOR
void solve_along(std::size_t nx, std::size_t ny, const double* inverse, const double* multiplier,
                 const double* before, const double* after, const double* in, double* out) {
  std::size_t j = 0;
  const auto rows = [&]<int R>() __attribute__((always_inline)) {
    const std::size_t o = j * nx;
    solve_rows<R>(nx, inverse + o, multiplier + o, before + o, after + o, in + o, out + o);
    j += R;
  };
  TQ_IN_BUNDLES(ny, rows)
}

TQ_FOR_EVERY_PROCESSOR
void multiply(std::size_t n, const double* __restrict a, const double* __restrict x, double* __restrict z) {
  for (std::size_t i = 0; i < n; ++i)
    z[i] = a[i] * x[i];
}

TQ_FOR_EVERY_PROCESSOR
double largest_weighted(std::size_t n, const double* __restrict e, const double* __restrict w) {
  constexpr std::size_t lanes = 8;
  double most[lanes] = {}, sum[lanes] = {};
  std::size_t i = 0;
  for (; i + lanes <= n; i += lanes)
    for (std::size_t l = 0; l < lanes; ++l) {
      const double v = std::abs(e[i + l]) * w[i + l];
      most[l] = v > most[l] ? v : most[l];
      sum[l] += v; // carries a NaN, which no comparison does
    }
  for (; i < n; ++i) {
    const double v = std::abs(e[i]) * w[i];
    most[0] = v > most[0] ? v : most[0];
    sum[0] += v;
  }
  double all = 0, total = 0;
  for (std::size_t l = 0; l < lanes; ++l) {
    all = most[l] > all ? most[l] : all;
    total += sum[l];
  }
  return std::isfinite(total) ? all : std::numeric_limits<double>::infinity();
}

TQ_FOR_EVERY_PROCESSOR
void temperature_linear(std::size_t n, const LinearMaterial& m, const double* __restrict u,
                        double* __restrict T, double* __restrict k) {
  const double c0 = m.c0, slope2 = 2 * m.slope, low = m.low, k0 = m.k0, k1 = m.k1;
  const double c0_squared = c0 * c0, c_high = m.c0 + m.slope * (m.high - m.low);
  const double h_high = 0.5 * (c0 + c_high) * (m.high - m.low);
  const double per_c0 = 1 / c0, per_c_high = 1 / c_high;
  const double k_low = m.k_low, k_high = m.k_high;
  if (std::abs(m.slope) * (m.high - m.low) > 1e-2 * c0) {
    // (sqrt - c0) / slope loses less than 1e-11 K here and needs no division
    const double per_slope = 1 / m.slope;
    for (std::size_t i = 0; i < n; ++i) {
      const double h = u[i];
      const double floored = h > 0 ? h : 0;
      const double inside = floored < h_high ? floored : h_high;
      const double t = low + (std::sqrt(c0_squared + slope2 * inside) - c0) * per_slope +
                       (h - floored) * per_c0 + (floored - inside) * per_c_high;
      T[i] = t;
      const double up = t > k_low ? t : k_low;
      k[i] = k0 + k1 * (up < k_high ? up : k_high);
    }
    return;
  }
  for (std::size_t i = 0; i < n; ++i) {
    const double h = u[i];
    const double floored = h > 0 ? h : 0;
    const double inside = floored < h_high ? floored : h_high;
    const double t = low + 2 * inside / (c0 + std::sqrt(c0_squared + slope2 * inside)) +
                     (h - floored) * per_c0 + (floored - inside) * per_c_high;
    T[i] = t;
    const double up = t > k_low ? t : k_low;
    k[i] = k0 + k1 * (up < k_high ? up : k_high);
  }
}

TQ_FOR_EVERY_PROCESSOR
void combine(std::size_t n, const double* base, double base_factor, const std::array<const double*, 4>& u,
             const std::array<double, 4>& c, int count, double* __restrict out) {
  const double* __restrict b = base;
  const double* __restrict u0 = u[0];
  const double* __restrict u1 = u[1];
  const double* __restrict u2 = u[2];
  const double* __restrict u3 = u[3];
  const double f = base_factor, c0 = c[0], c1 = c[1], c2 = c[2], c3 = c[3];
  switch (count) {
  case 0:
    for (std::size_t i = 0; i < n; ++i)
      out[i] = f * b[i];
    break;
  case 1:
    for (std::size_t i = 0; i < n; ++i)
      out[i] = f * b[i] + c0 * u0[i];
    break;
  case 2:
    for (std::size_t i = 0; i < n; ++i)
      out[i] = f * b[i] + c0 * u0[i] + c1 * u1[i];
    break;
  case 3:
    for (std::size_t i = 0; i < n; ++i)
      out[i] = f * b[i] + c0 * u0[i] + c1 * u1[i] + c2 * u2[i];
    break;
  default:
    if (b)
      for (std::size_t i = 0; i < n; ++i)
        out[i] = f * b[i] + ((c0 * u0[i] + c1 * u1[i]) + (c2 * u2[i] + c3 * u3[i]));
    else
      for (std::size_t i = 0; i < n; ++i)
        out[i] = (c0 * u0[i] + c1 * u1[i]) + (c2 * u2[i] + c3 * u3[i]);
    break;
  }
}

} // namespace tq::conduction::kernels
