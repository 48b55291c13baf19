#include "conduction/kernels.hpp"

#include "conduction/for_every_processor.hpp"

#include <cmath>
#include <limits>
#include <type_traits>

namespace tq::conduction::kernels {

namespace {

// All that pass vectors by value are inlined, so no caller can expect another register.
#pragma GCC diagnostic ignored "-Wpsabi"

/// Vectors of some doubles, and the same in memory.
template <int lanes>
struct Vectors;
template <>
struct Vectors<1> {
  using Value = double;
  using Memory = double;
};
#define TQ_VECTORS(lanes)                                                                                    \
  template <>                                                                                                \
  struct Vectors<lanes> {                                                                                    \
    using Value [[gnu::vector_size(8 * lanes)]] = double;                                                    \
    using Memory [[gnu::vector_size(8 * lanes), gnu::aligned(8), gnu::may_alias]] = double;                  \
  };
TQ_VECTORS(2)
TQ_VECTORS(4)
TQ_VECTORS(8)
template <int lanes>
using Vector = typename Vectors<lanes>::Value;

template <int lanes>
[[gnu::always_inline]] inline Vector<lanes> load(const double* from) {
  return *reinterpret_cast<const typename Vectors<lanes>::Memory*>(from);
}
template <int lanes>
[[gnu::always_inline]] inline void store(double* to, const Vector<lanes>& v) {
  *reinterpret_cast<typename Vectors<lanes>::Memory*>(to) = v;
}
/// The numbers one place before those of `now`; `before` are the lanes before.
template <int lanes>
[[gnu::always_inline]] inline Vector<lanes> shifted(const Vector<lanes>& before, const Vector<lanes>& now) {
  if constexpr (lanes == 8)
    return __builtin_shufflevector(before, now, 7, 8, 9, 10, 11, 12, 13, 14);
  else if constexpr (lanes == 4)
    return __builtin_shufflevector(before, now, 3, 4, 5, 6);
  else if constexpr (lanes == 2)
    return __builtin_shufflevector(before, now, 1, 2);
  else
    return before;
}

/// What one row of nodes needs to pass on its heat.
struct RowOfNodes {
  const double *T, *k, *along, *across, *diagonal, *inverse_mass; ///< at the row's first node
  std::size_t nx;
  double taken; ///< 1 + the shares taken of neighbours
  double *down, *below, *net, *du;
};

/// Fluxes at the end of `before`.
template <int lanes>
struct Fluxes {
  Vector<lanes> along{}, rising{}, falling{};
};

/// Heat into nodes i.. of a row that is not the last one; each flux is computed once and handed on in
/// registers to the next node and in `down` and `below` to the next row.
template <int lanes, bool skewed, bool keeps_net, bool at_end>
[[gnu::always_inline]] inline void conduct_at(const RowOfNodes& r, std::size_t i, Fluxes<lanes>& before) {
  using V = Vector<lanes>;
  const double* T = r.T + i;
  const double* k = r.k + i;
  const V k0 = load<lanes>(k), kn0 = load<lanes>(k + r.nx);
  const V t0 = load<lanes>(T), tn0 = load<lanes>(T + r.nx);
  const V down = load<lanes>(r.down + i);
  const V up = load<lanes>(r.across + i) * (k0 + kn0) * (tn0 - t0);
  Fluxes<lanes> now;
  if constexpr (!at_end) {
    const V k1 = load<lanes>(k + 1), t1 = load<lanes>(T + 1), row = k0 + k1;
    now.along = load<lanes>(r.along + i) * row * (t1 - t0);
    if constexpr (skewed) {
      const V q = load<lanes>(r.diagonal + i) * (row + (kn0 + load<lanes>(k + r.nx + 1)));
      now.rising = q * (load<lanes>(T + r.nx + 1) - t0);
      now.falling = q * (tn0 - t1);
    }
  }
  V y = up - down;
  if constexpr (skewed) {
    y = y + load<lanes>(r.below + i) - (now.rising - shifted<lanes>(before.falling, now.falling));
    store<lanes>(r.below + i, shifted<lanes>(before.rising, now.rising) - now.falling);
  }
  store<lanes>(r.down + i, up);
  if constexpr (keeps_net)
    store<lanes>(r.net + i, y);
  store<lanes>(r.du + i, ((now.along - shifted<lanes>(before.along, now.along)) + r.taken * y) *
                             load<lanes>(r.inverse_mass + i));
  before = now;
}

template <int lanes, bool skewed, bool keeps_net>
[[gnu::always_inline]] inline void conduct_row(const RowOfNodes& r) {
  Fluxes<lanes> many;
  std::size_t i = 0;
  for (; i + lanes < r.nx; i += lanes)
    conduct_at<lanes, skewed, keeps_net, false>(r, i, many);
  Fluxes<1> one{many.along[lanes - 1], many.rising[lanes - 1], many.falling[lanes - 1]};
  for (; i + 1 < r.nx; ++i)
    conduct_at<1, skewed, keeps_net, false>(r, i, one);
  conduct_at<1, skewed, keeps_net, true>(r, i, one);
}

template <int lanes, bool skewed>
[[gnu::always_inline]] inline void
conduct_rows(std::size_t nx, std::size_t ny, const double* T, const double* k, const double* along,
             const double* across, const double* diagonal, const double* inverse_mass, double share_first,
             double share_last, double* buffer, double* du) {
  double* down = buffer;     // from the row before, per column
  double* below = down + nx; // what the cells under this row give to it by their diagonals
  double* net = below + nx;  // heat from across of the row before, where a flank takes its share
  for (std::size_t i = 0; i < nx; ++i)
    down[i] = below[i] = net[i] = 0;
  for (std::size_t j = 0; j + 1 < ny; ++j) {
    const std::size_t o = j * nx;
    const bool for_first = j == 1 && share_first > 0, for_last = j + 2 == ny;
    const double taken = 1.0 + (for_last ? share_last : 0.0) + (j == 1 ? share_first : 0.0);
    const RowOfNodes row{
        T + o, k + o, along + o, across + o, skewed ? diagonal + o : nullptr, inverse_mass + o, nx, taken,
        down,  below, net,       du + o};
    if (for_first || for_last)
      conduct_row<lanes, skewed, true>(row);
    else
      conduct_row<lanes, skewed, false>(row);
    if (for_first)
      for (std::size_t i = 0; i < nx; ++i)
        du[i] -= share_first * net[i] * inverse_mass[i];
  }
  const std::size_t o = (ny - 1) * nx;
  const double *t = T + o, *c = k + o, *g = along + o, *im = inverse_mass + o;
  double before = 0;
  for (std::size_t i = 0; i < nx; ++i) {
    const double now = i + 1 < nx ? g[i] * (c[i] + c[i + 1]) * (t[i + 1] - t[i]) : 0.0;
    du[o + i] = ((now - before) - down[i] + below[i] - share_last * net[i]) * im[i];
    before = now;
  }
}

} // namespace

TQ_FOR_EVERY_PROCESSOR(void, conduct,
                       (std::size_t nx, std::size_t ny, const double* T, const double* k, const double* along,
                        const double* across, const double* diagonal, const double* inverse_mass,
                        double share_first, double share_last, double* buffer, double* du),
                       (nx, ny, T, k, along, across, diagonal, inverse_mass, share_first, share_last, buffer,
                        du)) {
  if (diagonal)
    conduct_rows<lanes, true>(nx, ny, T, k, along, across, diagonal, inverse_mass, share_first, share_last,
                              buffer, du);
  else
    conduct_rows<lanes, false>(nx, ny, T, k, along, across, diagonal, inverse_mass, share_first, share_last,
                               buffer, du);
}

TQ_FOR_EVERY_PROCESSOR(void, face_conductances,
                       (std::size_t nx, std::size_t ny, const double* __restrict k,
                        const double* __restrict along, const double* __restrict across,
                        double* __restrict kx, double* __restrict ky),
                       (nx, ny, k, along, across, kx, ky)) {
  const std::size_t n = nx * ny;
  for (std::size_t i = 0; i + 1 < n; ++i) // the last of a row has along = 0
    kx[i] = along[i] * (k[i] + k[i + 1]);
  kx[n - 1] = 0;
  for (std::size_t i = 0; i + nx < n; ++i)
    ky[i] = across[i] * (k[i] + k[i + nx]);
  for (std::size_t i = n - nx; i < n; ++i)
    ky[i] = 0;
}

TQ_FOR_EVERY_PROCESSOR(void, factorise_across,
                       (std::size_t nx, std::size_t ny, double g, const double* __restrict mc,
                        const double* __restrict ky, const double* first, const double* last,
                        const FlankRows& flanks, double* __restrict inverse, double* __restrict multiplier),
                       (nx, ny, g, mc, ky, first, last, flanks, inverse, multiplier)) {
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

// Few rows are solved as R recurrences side by side. From `least_in_columns` rows on they are kept column by
// column, eight numbers each whatever the processor, spare ones repeating the last row and a ninth row beside
// them; the numbers of a column are lanes of one vector or of several. Between rows and columns go small
// transpositions in registers.
constexpr int least_in_columns = 6;
constexpr int column = 8;

template <int lanes>
[[gnu::always_inline]] inline void transpose(Vector<lanes> (&v)[lanes]) {
  if constexpr (lanes == 2) {
    const Vector<2> first = __builtin_shufflevector(v[0], v[1], 0, 2);
    v[1] = __builtin_shufflevector(v[0], v[1], 1, 3);
    v[0] = first;
  } else if constexpr (lanes == 4) {
    Vector<4> a[4];
    for (int k = 0; k < 4; k += 2) {
      a[k] = __builtin_shufflevector(v[k], v[k + 1], 0, 4, 2, 6);
      a[k + 1] = __builtin_shufflevector(v[k], v[k + 1], 1, 5, 3, 7);
    }
    for (int k = 0; k < 2; ++k) {
      v[k] = __builtin_shufflevector(a[k], a[k + 2], 0, 1, 4, 5);
      v[k + 2] = __builtin_shufflevector(a[k], a[k + 2], 2, 3, 6, 7);
    }
  } else {
    Vector<8> a[8], b[8];
    for (int k = 0; k < 8; k += 2) {
      a[k] = __builtin_shufflevector(v[k], v[k + 1], 0, 8, 2, 10, 4, 12, 6, 14);
      a[k + 1] = __builtin_shufflevector(v[k], v[k + 1], 1, 9, 3, 11, 5, 13, 7, 15);
    }
    for (int k = 0; k < 8; k += 4)
      for (int m = 0; m < 2; ++m) {
        b[k + m] = __builtin_shufflevector(a[k + m], a[k + m + 2], 0, 1, 8, 9, 4, 5, 12, 13);
        b[k + m + 2] = __builtin_shufflevector(a[k + m], a[k + m + 2], 2, 3, 10, 11, 6, 7, 14, 15);
      }
    for (int k = 0; k < 4; ++k) {
      v[k] = __builtin_shufflevector(b[k], b[k + 4], 0, 1, 2, 3, 8, 9, 10, 11);
      v[k + 4] = __builtin_shufflevector(b[k], b[k + 4], 4, 5, 6, 7, 12, 13, 14, 15);
    }
  }
}

/// Vectors of a column that hold R rows, as far as they are not the ninth.
template <int lanes, int R>
constexpr int parts = ((R < column ? R : column) + lanes - 1) / lanes;

/// columns[i * column + r] = factor * rows[r * nx + i].
template <int lanes, int R>
[[gnu::always_inline]] inline void to_columns(std::size_t nx, const double* rows, const double* factor,
                                              double* __restrict columns) {
  constexpr int used = R < column ? R : column;
  std::size_t i = 0;
  for (; i + lanes <= nx; i += lanes)
    for (int part = 0; part < parts<lanes, R>; ++part) {
      Vector<lanes> v[lanes];
      for (int l = 0; l < lanes; ++l) {
        const int r = part * lanes + l;
        const std::size_t at = static_cast<std::size_t>(r < used ? r : used - 1) * nx + i;
        v[l] = load<lanes>(rows + at) * load<lanes>(factor + at);
      }
      transpose<lanes>(v);
      for (int l = 0; l < lanes; ++l)
        store<lanes>(columns + (i + static_cast<std::size_t>(l)) * column + part * lanes, v[l]);
    }
  for (; i < nx; ++i)
    for (int r = 0; r < parts<lanes, R> * lanes; ++r) {
      const std::size_t at = static_cast<std::size_t>(r < used ? r : used - 1) * nx + i;
      columns[i * column + static_cast<std::size_t>(r)] = rows[at] * factor[at];
    }
}

/// rows[r * nx + i] = factor * columns[i * column + r].
template <int lanes, int R>
[[gnu::always_inline]] inline void to_rows(std::size_t nx, const double* __restrict columns,
                                           const double* __restrict factor, double* __restrict rows) {
  constexpr int used = R < column ? R : column;
  std::size_t i = 0;
  for (; i + lanes <= nx; i += lanes)
    for (int part = 0; part < parts<lanes, R>; ++part) {
      Vector<lanes> v[lanes];
      for (int l = 0; l < lanes; ++l)
        v[l] = load<lanes>(columns + (i + static_cast<std::size_t>(l)) * column + part * lanes);
      transpose<lanes>(v);
      for (int l = 0; l < lanes && part * lanes + l < used; ++l) {
        const std::size_t at = static_cast<std::size_t>(part * lanes + l) * nx + i;
        store<lanes>(rows + at, load<lanes>(factor + at) * v[l]);
      }
    }
  for (; i < nx; ++i)
    for (int r = 0; r < used; ++r) {
      const std::size_t at = static_cast<std::size_t>(r) * nx + i;
      rows[at] = factor[at] * columns[i * column + static_cast<std::size_t>(r)];
    }
}

/// Place of row r at column i in the factors of a bundle: columns of eight, then the ninth row; of few rows
/// row by row.
template <int R>
[[gnu::always_inline]] inline std::size_t factor_at(std::size_t nx, std::size_t i, int r) {
  if constexpr (R < least_in_columns)
    return static_cast<std::size_t>(r) * nx + i;
  return r < column ? i * column + static_cast<std::size_t>(r) : column * nx + i;
}

template <int R>
constexpr std::size_t factors_of = R < least_in_columns ? R
                                   : R < column         ? column
                                                        : R;

/// R independent recurrences overlap; the divisions take most of the time.
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
      const std::size_t n = static_cast<std::size_t>(r) * nx + i, at = factor_at<R>(nx, i, r);
      const double couple = g * kx[n];
      double d = mc[n] + couple + before[r] * (1.0 - mul[r]);
      if (i == 0 && first)
        d += g * first[r];
      if (i + 1 == nx && last)
        d += g * last[r];
      const double inv = 1.0 / d;
      inverse[at] = inv;
      mul[r] = couple * inv;
      multiplier[at] = mul[r];
      before[r] = couple;
    }
}

/// One bundle of R neighbouring rows, so that R independent recurrences overlap.
template <int R>
[[gnu::always_inline]] inline void
solve_few_rows(std::size_t nx, const double* __restrict inverse, const double* __restrict multiplier,
               const double* __restrict before, const double* __restrict after, const double* in,
               double* out) {
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

template <int lanes, int R>
[[gnu::always_inline]] inline void solve_rows(std::size_t nx, const double* __restrict inverse,
                                              const double* __restrict multiplier, const double* before,
                                              const double* after, const double* in, double* out,
                                              double* __restrict scratch) {
  constexpr bool ninth = R > column;
  constexpr int vectors = parts<lanes, R>;
  const std::size_t o = column * nx;
  to_columns<lanes, R>(nx, in, before, scratch);
  Vector<lanes> carry[vectors] = {};
  double carry_ninth = 0;
  for (std::size_t i = 0; i < nx; ++i) {
    for (int p = 0; p < vectors; ++p) {
      const std::size_t n = i * column + static_cast<std::size_t>(p * lanes);
      const Vector<lanes> w = load<lanes>(scratch + n) + carry[p];
      store<lanes>(scratch + n, w * load<lanes>(inverse + n));
      carry[p] = load<lanes>(multiplier + n) * w;
    }
    if constexpr (ninth) {
      const double own = before[o + i] * in[o + i] + carry_ninth;
      out[o + i] = own * inverse[o + i];
      carry_ninth = multiplier[o + i] * own;
    }
  }
  for (int p = 0; p < vectors; ++p)
    carry[p] = Vector<lanes>{};
  carry_ninth = 0;
  for (std::size_t i = nx; i-- > 0;) {
    for (int p = 0; p < vectors; ++p) {
      const std::size_t n = i * column + static_cast<std::size_t>(p * lanes);
      carry[p] = load<lanes>(scratch + n) + load<lanes>(multiplier + n) * carry[p];
      store<lanes>(scratch + n, carry[p]);
    }
    if constexpr (ninth) {
      carry_ninth = out[o + i] + multiplier[o + i] * carry_ninth;
      out[o + i] = after[o + i] * carry_ninth;
    }
  }
  to_rows<lanes, R>(nx, scratch, after, out);
}

} // namespace

std::size_t along_size(std::size_t nx, std::size_t ny) { return nx * (ny + 8 * ((ny + 8) / 9)); }

TQ_FOR_EVERY_PROCESSOR(void, factorise_along,
                       (std::size_t nx, std::size_t ny, double g, const double* mc, const double* kx,
                        const double* first, const double* last, double* inverse, double* multiplier),
                       (nx, ny, g, mc, kx, first, last, inverse, multiplier)) {
  std::size_t j = 0, at = 0;
  const auto rows = [&]<int R>() __attribute__((always_inline)) {
    const std::size_t o = j * nx;
    factorise_rows<R>(nx, g, mc + o, kx + o, first ? first + j : nullptr, last ? last + j : nullptr,
                      inverse + at, multiplier + at);
    j += R;
    at += factors_of<R> * nx;
  };
  TQ_IN_BUNDLES(ny, rows)
}

TQ_FOR_EVERY_PROCESSOR(void, solve_across,
                       (std::size_t nx, std::size_t ny, const double* __restrict inverse,
                        const double* __restrict multiplier, const FlankRows& flanks, double* __restrict work,
                        const double* __restrict after, double* __restrict out),
                       (nx, ny, inverse, multiplier, flanks, work, after, out)) {
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
  // of three rows the middle one has given to the first already; a single row (a fin) has none to share with
  if (ny > 1)
    store(ny - 1, ny - 2,
          shared && ny == 3 ? flanks.area_last / (1.0 - flanks.area_first) : flanks.area_last);
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

namespace {

// Apart, because the same loops come out a fifth slower beside those with vectors.
TQ_FOR_EVERY_PROCESSOR(void, solve_few_along,
                       (std::size_t nx, std::size_t ny, const double* inverse, const double* multiplier,
                        const double* before, const double* after, const double* in, double* out),
                       (nx, ny, inverse, multiplier, before, after, in, out)) {
  std::size_t j = 0;
  const auto rows = [&]<int R>() __attribute__((always_inline)) {
    const std::size_t o = j * nx;
    solve_few_rows<R>(nx, inverse + o, multiplier + o, before + o, after + o, in + o, out + o);
    j += R;
  };
  TQ_IN_BUNDLES(ny, rows)
}

TQ_FOR_EVERY_PROCESSOR(void, solve_many_along,
                       (std::size_t nx, std::size_t ny, const double* inverse, const double* multiplier,
                        const double* before, const double* after, const double* in, double* out,
                        double* scratch),
                       (nx, ny, inverse, multiplier, before, after, in, out, scratch)) {
  std::size_t j = 0, at = 0;
  const auto rows = [&]<int R>() __attribute__((always_inline)) {
    const std::size_t o = j * nx;
    if constexpr (R < least_in_columns)
      solve_few_rows<R>(nx, inverse + at, multiplier + at, before + o, after + o, in + o, out + o);
    else
      solve_rows<lanes, R>(nx, inverse + at, multiplier + at, before + o, after + o, in + o, out + o,
                           scratch);
    j += R;
    at += factors_of<R> * nx;
  };
  TQ_IN_BUNDLES(ny, rows)
}

} // namespace

void solve_along(std::size_t nx, std::size_t ny, const double* inverse, const double* multiplier,
                 const double* before, const double* after, const double* in, double* out, double* scratch) {
  if (ny < least_in_columns)
    solve_few_along(nx, ny, inverse, multiplier, before, after, in, out);
  else
    solve_many_along(nx, ny, inverse, multiplier, before, after, in, out, scratch);
}

namespace {

/// A face along which neighbours are neighbours in memory has stride 1, known to the compiler.
template <class Work>
[[gnu::always_inline]] inline auto by_stride(FaceNodes face, const Work& work) {
  if (face.stride == 1)
    return work(std::integral_constant<std::size_t, 1>{});
  return work(face.stride);
}

constexpr std::size_t partial_sums = 8;

/// Sum of value(n), eight partial sums at a time, whatever the processor.
template <class Value>
[[gnu::always_inline]] inline double sum_of(std::size_t count, const Value& value) {
  double part[partial_sums] = {};
  std::size_t n = 0;
  for (; n + partial_sums <= count; n += partial_sums)
    for (std::size_t l = 0; l < partial_sums; ++l)
      part[l] += value(n + l);
  double sum = 0;
  for (; n < count; ++n)
    sum += value(n);
  for (double p : part)
    sum += p;
  return sum;
}

} // namespace

TQ_FOR_EVERY_PROCESSOR(double, convect,
                       (FaceNodes face, const UniformTable& htc, double env, const double* __restrict T,
                        const double* __restrict length, const double* __restrict inverse_mass,
                        double* __restrict flux, double* __restrict rate),
                       (face, htc, env, T, length, inverse_mass, flux, rate)) {
  const UniformTable::View h = htc.view();
  by_stride(
      face, [&](auto stride) __attribute__((always_inline)) {
        for (std::size_t n = 0; n < face.count; ++n)
          flux[n] = h.value(T[n * stride]) * (T[n * stride] - env);
        for (std::size_t n = 0; n < face.count; ++n)
          rate[n * stride] -= flux[n] * (inverse_mass[n * stride] * length[n]);
      });
  return sum_of(
      face.count, [&](std::size_t n) __attribute__((always_inline)) { return flux[n] * length[n]; });
}

TQ_FOR_EVERY_PROCESSOR(void, convection_slopes,
                       (FaceNodes face, const UniformTable& htc, double env, const double* __restrict T,
                        const double* __restrict length, double* __restrict slope),
                       (face, htc, env, T, length, slope)) {
  const UniformTable::View h = htc.view();
  by_stride(
      face, [&](auto stride) __attribute__((always_inline)) {
        for (std::size_t n = 0; n < face.count; ++n) {
          const double t = T[n * stride];
          slope[n] = length[n] * (h.value(t) + h.slope(t) * (t - env));
        }
      });
}

TQ_FOR_EVERY_PROCESSOR(double, sum_over_face,
                       (FaceNodes face, const double* a, const double* z, const double* scale),
                       (face, a, z, scale)) {
  return by_stride(
      face, [&](auto stride) __attribute__((always_inline)) {
        return sum_of(
            face.count, [&](std::size_t n) __attribute__((always_inline)) {
              return a[n] * (z[n * stride] / scale[n * stride]);
            });
      });
}

TQ_FOR_EVERY_PROCESSOR(void, multiply,
                       (std::size_t n, const double* __restrict a, const double* __restrict x,
                        double* __restrict z),
                       (n, a, x, z)) {
  for (std::size_t i = 0; i < n; ++i)
    z[i] = a[i] * x[i];
}

TQ_FOR_EVERY_PROCESSOR(double, largest_weighted,
                       (std::size_t n, const double* __restrict e, const double* __restrict w), (n, e, w)) {
  double most[partial_sums] = {}, sum[partial_sums] = {};
  std::size_t i = 0;
  for (; i + partial_sums <= n; i += partial_sums)
    for (std::size_t l = 0; l < partial_sums; ++l) {
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
  for (std::size_t l = 0; l < partial_sums; ++l) {
    all = most[l] > all ? most[l] : all;
    total += sum[l];
  }
  return std::isfinite(total) ? all : std::numeric_limits<double>::infinity();
}

TQ_FOR_EVERY_PROCESSOR(void, temperature_linear,
                       (std::size_t n, const LinearMaterial& m, const double* __restrict u,
                        double* __restrict T, double* __restrict k),
                       (n, m, u, T, k)) {
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

TQ_FOR_EVERY_PROCESSOR(void, combine,
                       (std::size_t n, const double* base, double base_factor,
                        const std::array<const double*, 4>& u, const std::array<double, 4>& c, int count,
                        double* __restrict out),
                       (n, base, base_factor, u, c, count, out)) {
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
