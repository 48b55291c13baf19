#include "records/read_uncertainty.hpp"

#include "units/quantity.hpp"
#include "units/text.hpp"

#include <cstdlib>
#include <utility>

namespace tq::records {
namespace {

constexpr std::array<const char*, knowledge_count> knowledge_keys{"measured", "typical", "from_memory"};
const std::vector<std::string> spread_words{"normal", "lognormal", "uniform", "triangular"};
const std::vector<std::string> input_dimensions{
    "factor", "fraction", "hardness_HRC", "length", "number", "temperature_difference", "time"};

UncertainInputRecord read_input(const Node& root, const std::string& key) {
  const Node node = root.table(key);
  UncertainInputRecord input;
  input.key = key;
  input.name = node.text("name");
  const std::string spread = node.choice("spread", spread_words);
  for (std::size_t i = 0; i < spread_words.size(); ++i)
    if (spread == spread_words[i])
      input.spread = static_cast<Spread>(i);
  input.dimension = node.choice("dimension", input_dimensions);
  const bool ratio = input.dimension == "factor" || input.dimension == "fraction";
  if (ratio != (input.spread == Spread::lognormal))
    node.fail("spread", "a factor or a fraction is lognormal, and nothing else is");
  input.source = node.text("source");
  for (std::size_t i = 0; i < knowledge_keys.size(); ++i) {
    if (node.is_text(knowledge_keys[i]) && node.text(knowledge_keys[i]) == "record")
      continue;
    input.width[i] = read_width(node, knowledge_keys[i], input);
  }
  return input;
}

} // namespace

double read_width(const Node& node, std::string_view key, const UncertainInputRecord& input) {
  if (input.dimension == "factor")
    return node.number(key, {1, 1000});
  if (input.dimension == "number")
    return node.number(key, {0, 10});
  const double most = input.dimension == "fraction"                 ? 10
                      : input.dimension == "temperature_difference" ? 300
                      : input.dimension == "time"                   ? 3600
                      : input.dimension == "length"                 ? 5e-3
                                                                    : 20;
  return node.quantity(key, input.dimension, {0, most});
}

std::string width_text(const UncertainInputRecord& input, double exact) {
  const double width =
      std::strtod(units::formatted("%.3g", exact).c_str(), nullptr); // no width is known better
  if (input.dimension == "factor")
    return "a factor " + units::format_number(width) + " either way";
  if (input.dimension == "number")
    return "+/- " + units::format_number(width);
  if (input.dimension == "fraction")
    return "+/- " + units::format_quantity(width, "percent");
  return "+/- " + units::format_quantity(width, input.dimension);
}

UncertaintyRecord read_uncertainty(std::string_view text, std::string file) {
  const Node root = parse_document(text, std::move(file));
  UncertaintyRecord record;
  for (const std::string& key : root.keys()) {
    record.inputs.push_back(read_input(root, key));
    const UncertainInputRecord& input = record.inputs.back();
    std::string widths;
    for (std::size_t i = 0; i < knowledge_keys.size(); ++i)
      widths += std::string(i > 0 ? ", " : "") + (i == 2 ? "from memory" : knowledge_keys[i]) + " " +
                (input.width[i] ? width_text(input, *input.width[i]) : std::string("as the record says"));
    record.provenance.push_back({key, std::move(widths), input.source, "", "", ""});
  }
  root.finish();
  return record;
}

} // namespace tq::records
