#include "records/read_foil.hpp"

#include "records/document.hpp"
#include "records/sourced.hpp"

#include <filesystem>
#include <utility>

namespace tq::records {

FoilRecord read_foil(std::string_view text, std::string file) {
  FoilRecord foil;
  foil.key = std::filesystem::path(file).stem().string();
  const Node root = parse_document(text, std::move(file));
  const Sourced record(root, foil.provenance);
  foil.name = root.text("name", foil.key);
  foil.description = root.text("description", "");

  foil.thickness_m = record.quantity("thickness", "length", {5e-6, 1e-3});
  foil.density_kg_m3 = record.quantity("density", "density", {500, 25000});
  const Sourced heat = record.table("specific_heat");
  foil.specific_heat_c0 = heat.quantity("c0", "specific_heat", {50, 5000});
  foil.specific_heat_c1 = heat.quantity("c1", "specific_heat_slope", {-2, 5});
  if (foil.specific_heat_c0 + 1300.0 * foil.specific_heat_c1 <= 0.0)
    heat.node().fail("c1", "makes the specific heat negative below 1300 degC; allowed: c0 + c1 T above 0");

  foil.conductivity_W_mK = record.quantity("conductivity", "conductivity", {0, 500}); // 0: none along it

  const Sourced emissivity = record.table("emissivity");
  foil.emissivity_outside = emissivity.number("outside", {0, 1});
  foil.emissivity_inside = emissivity.number("inside", {0, 1});
  const Sourced gap = record.table("gap");
  foil.gap_hand_folded_m = gap.quantity("hand_folded", "length", {0, 0.02});
  foil.gap_pressed_m = gap.quantity("pressed", "length", {0, 0.02});
  foil.gap_factor = gap.number("factor", {1, 100});
  const Sourced contact = record.table("contact");
  foil.contact_fraction = contact.quantity("fraction", "fraction", {0, 1});
  foil.contact_conductance_W_m2K = contact.quantity("conductance", "heat_transfer_coefficient", {0, 1e6});
  foil.service_limit_degC = record.quantity("service_limit", "temperature", {100, 3000});

  root.finish();
  return foil;
}

} // namespace tq::records
