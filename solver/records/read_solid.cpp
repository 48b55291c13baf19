#include "records/read_solid.hpp"

#include "records/document.hpp"
#include "records/sourced.hpp"

#include <filesystem>
#include <utility>

namespace tq::records {

SolidRecord read_solid(std::string_view text, std::string file) {
  SolidRecord solid;
  solid.key = std::filesystem::path(file).stem().string();
  const Node root = parse_document(text, std::move(file));
  const Sourced record(root, solid.provenance);
  solid.name = root.text("name", solid.key);
  solid.description = root.text("description", "");
  solid.density_kg_m3 = record.quantity("density", "density", {50, 25000});
  solid.specific_heat_J_kgK = record.quantity("specific_heat", "specific_heat", {50, 5000});
  solid.conductivity_W_mK = record.quantity("conductivity", "conductivity", {0.01, 500});
  if (const auto contact = record.optional_table("contact")) {
    solid.contact_W_m2K = contact->quantity("conductance", "heat_transfer_coefficient", {1, 1e7});
    solid.contact_factor = contact->number("factor", {1, 100});
  }
  root.finish();
  return solid;
}

} // namespace tq::records
