// A section's mesh drawn together to one row.
#pragma once

#include "conduction/mesh.hpp"

namespace tq::conduction {

/// The section as a fin: one node for each column of `section`, whose area, faces and conductances to its
/// neighbours are the sums over the column. Its balance is that of the whole column where all of it is as
/// warm; the cross terms of a crooked grid cancel in the sum.
Mesh make_fin(const Mesh& section);

} // namespace tq::conduction
