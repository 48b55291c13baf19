#include "records/sourced.hpp"

#include "units/quantity.hpp"

#include <utility>

namespace tq::records {

namespace {

std::string dotted(const Node& node, std::string_view key) {
  const std::string path = node.path();
  return path.empty() ? std::string(key) : path + "." + std::string(key);
}

// A value as it stands in the file: texts without their quotes.
std::string as_read(const Node& node, std::string_view key) {
  const std::string written = node.written(key);
  return !written.empty() && written.front() == '"' ? node.text(key) : written;
}

std::string with_unit(std::string value, std::string_view unit) {
  if (!unit.empty())
    value.append(" ").append(unit);
  return value;
}

} // namespace

Sourced::Sourced(Node node, std::vector<Provenance>& provenance)
    : node_(std::move(node)), provenance_(&provenance), head_(read_head(node_)) {}

Sourced::Sourced(Node node, std::vector<Provenance>& provenance, const Head& above)
    : Sourced(std::move(node), provenance) {
  if (head_.source.empty()) {
    head_.source = above.source;
    if (head_.range.empty())
      head_.range = above.range;
    if (head_.uncertainty.empty())
      head_.uncertainty = above.uncertainty;
  }
}

Sourced::Head Sourced::read_head(const Node& node) {
  return {node.text("source", ""), node.text("range", ""), node.text("uncertainty", ""),
          node.text("note", "")};
}

Sourced Sourced::table(std::string_view key) const { return {node_.table(key), *provenance_, head_}; }

std::optional<Sourced> Sourced::optional_table(std::string_view key) const {
  if (!node_.has(key))
    return std::nullopt;
  return table(key);
}

bool Sourced::is_table(std::string_view key) const {
  const std::string written = node_.written(key);
  return !written.empty() && written.front() == '{';
}

void Sourced::record(const Node& at, std::string_view key_in_node, std::string name, std::string value,
                     Head own) const {
  if (own.source.empty())
    own.source = head_.source;
  if (own.source.empty())
    at.fail(key_in_node, "has no source; write it beside the value, { value = ..., source = \"...\" }, or "
                         "source = \"...\" at the head of its table (a citation, \"from memory\", \"common "
                         "practice, no source\", \"assumption, no source\")");
  provenance_->push_back({std::move(name), std::move(value), std::move(own.source), std::move(own.range),
                          std::move(own.uncertainty), std::move(own.note)});
}

double Sourced::number(std::string_view key, Range range, std::string_view unit) const {
  const bool apart = is_table(key);
  const Node at = apart ? node_.table(key) : node_;
  const std::string_view value_key = apart ? std::string_view("value") : key;
  const double value = at.number(value_key, range);
  record(at, value_key, dotted(node_, key), with_unit(as_read(at, value_key), unit),
         apart ? read_head(at) : head_);
  return value;
}

std::optional<double> Sourced::optional_number(std::string_view key, Range range,
                                               std::string_view unit) const {
  if (!node_.has(key))
    return std::nullopt;
  return number(key, range, unit);
}

double Sourced::quantity(std::string_view key, std::string_view dimension, Range range) const {
  const bool apart = is_table(key);
  const Node at = apart ? node_.table(key) : node_;
  const std::string_view value_key = apart ? std::string_view("value") : key;
  const double value = at.quantity(value_key, dimension, range);
  record(at, value_key, dotted(node_, key), as_read(at, value_key), apart ? read_head(at) : head_);
  return value;
}

std::optional<double> Sourced::optional_quantity(std::string_view key, std::string_view dimension,
                                                 Range range) const {
  if (!node_.has(key))
    return std::nullopt;
  return quantity(key, dimension, range);
}

Table Sourced::points(std::string_view key, std::string_view x_key, std::string_view x_dimension,
                      Range x_range, std::string_view y_dimension, Range y_range, std::size_t least) const {
  const Node at = node_.table(key);
  const Node x_at = at.table(x_key);
  Table out;
  out.x = x_at.quantities("values", x_dimension, x_range);
  out.y = at.quantities("values", y_dimension, y_range);
  if (at.choice("interpolation", {"linear", "log"}, "linear") == "log")
    out.interpolation = Interpolation::log;
  if (out.x.size() != out.y.size())
    at.fail("values", "has " + std::to_string(out.y.size()) + " values for " + std::to_string(out.x.size()) +
                          " of " + std::string(x_key) + "; allowed: as many of each");
  if (out.x.size() < least)
    at.fail("values", "has " + std::to_string(out.y.size()) + " values; allowed: " + std::to_string(least) +
                          " or more");
  for (std::size_t i = 1; i < out.x.size(); ++i)
    if (out.x[i] <= out.x[i - 1])
      x_at.fail("values", "must ascend, but value " + std::to_string(i + 1) + " is not above value " +
                              std::to_string(i));
  if (out.interpolation == Interpolation::log)
    for (const double y : out.y)
      if (y <= 0.0)
        at.fail("values", "must be above zero with interpolation = \"log\"");
  const std::string x_unit = x_at.text("unit", ""), y_unit = at.text("unit", "");
  record(at, "values", dotted(node_, key),
         with_unit(at.written("values"), y_unit) + " at " + with_unit(x_at.written("values"), x_unit),
         read_head(at));
  return out;
}

} // namespace tq::records
