// Reading values of a record together with where they come from. A value stands either plain, and then the
// `source` (and `range`, `uncertainty`, `note`) at the head of its table holds for it,
//
//   [hardness]
//   source = "from memory"
//   ferrite = "200 HV"
//
// or as a table of its own, inline or not, where only what it says itself holds, except that a missing
// `source` is again taken from the head:
//
//   pearlite = { value = "390 HV", source = "from memory", uncertainty = "30 HV" }
//
// A value without any source is an error.
#pragma once

#include "records/document.hpp"
#include "records/provenance.hpp"
#include "records/table.hpp"

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace tq::records {

/// A table of a record as seen by its reader: every value read appends its Provenance to the list given,
/// which must outlive this object. All getters throw InputError.
class Sourced {
 public:
  Sourced(Node node, std::vector<Provenance>& provenance);

  const Node& node() const { return node_; }
  bool has(std::string_view key) const { return node_.has(key); }
  /// Sub-table with a head of its own; a missing `source`, `range` or `uncertainty` is taken from this head.
  Sourced table(std::string_view key) const;
  std::optional<Sourced> optional_table(std::string_view key) const;

  /// Dimensionless number; `unit` is only shown beside it ("wt%").
  double number(std::string_view key, Range range, std::string_view unit = {}) const;
  std::optional<double> optional_number(std::string_view key, Range range, std::string_view unit = {}) const;
  /// Dimensional value in SI (degC for temperatures), written with its unit.
  double quantity(std::string_view key, std::string_view dimension, Range range) const;
  std::optional<double> optional_quantity(std::string_view key, std::string_view dimension,
                                          Range range) const;
  /// Points y over x, x strictly ascending, at least `least` of them:
  ///   [key]
  ///   x_key = { unit = "degC", values = [20, 200] }
  ///   unit = "W/(m K)"
  ///   values = [49, 44]
  ///   source = "..."
  /// Optional `interpolation` = "linear" (default) or "log".
  Table points(std::string_view key, std::string_view x_key, std::string_view x_dimension, Range x_range,
               std::string_view y_dimension, Range y_range, std::size_t least = 2) const;

 private:
  struct Head {
    std::string source, range, uncertainty, note;
  };
  Sourced(Node node, std::vector<Provenance>& provenance, const Head& above);
  static Head read_head(const Node& node);
  bool is_table(std::string_view key) const;
  void record(const Node& at, std::string_view key_in_node, std::string name, std::string value,
              Head own) const;

  Node node_;
  std::vector<Provenance>* provenance_;
  Head head_;
};

} // namespace tq::records
