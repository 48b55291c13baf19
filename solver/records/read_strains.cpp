#include "records/read_strains.hpp"

#include "records/document.hpp"
#include "records/sourced.hpp"

#include <utility>

namespace tq::records {

StrainRecord read_strains(std::string_view text, std::string file) {
  StrainRecord out;
  const Node root = parse_document(text, std::move(file));
  root.integer("format", {1, 1});
  const Sourced record(root, out.provenance);
  constexpr Range any_degC{-273, 2000}, coefficient{1e-6, 1e-4}, stress{1e6, 1e12}, share{0, 1};

  const Sourced expansion = record.table("expansion");
  out.expansion_austenite_per_K = expansion.quantity("austenite", "per_kelvin", coefficient);
  out.expansion_product_per_K =
      expansion.points("product", "temperature", "temperature", any_degC, "per_kelvin", coefficient);

  const Sourced volume = record.table("volume");
  constexpr Range growth{0, 0.2}, per_carbon{-0.1, 0.1};
  out.volume_at_no_carbon = volume.quantity("at_no_carbon", "percent", growth);
  out.volume_martensite_per_carbon = volume.quantity("martensite_per_carbon", "percent", per_carbon);
  out.volume_bainite_per_carbon = volume.quantity("bainite_per_carbon", "percent", per_carbon);
  out.volume_pearlite_per_carbon = volume.quantity("pearlite_per_carbon", "percent", per_carbon);

  const auto over_temperature = [&](const Sourced& table, const char* key) {
    return table.points(key, "temperature", "temperature", any_degC, "stress", stress);
  };
  const Sourced modulus = record.table("modulus"), yield = record.table("yield");
  out.modulus_austenite_Pa = over_temperature(modulus, "austenite");
  out.modulus_product_Pa = over_temperature(modulus, "product");
  out.yield_austenite_Pa = over_temperature(yield, "austenite");
  out.yield_martensite_Pa = over_temperature(yield, "martensite");
  out.yield_bainite_Pa = over_temperature(yield, "bainite");
  out.yield_pearlite_Pa = over_temperature(yield, "pearlite");

  out.plasticity_per_Pa = record.table("plasticity").quantity("coefficient", "per_stress", {0, 1e-8});

  const Sourced spread = record.table("spread");
  out.spread.expansion = spread.quantity("expansion", "fraction", share);
  out.spread.volume = spread.quantity("volume", "fraction", share);
  out.spread.yield_austenite = spread.quantity("yield_austenite", "fraction", share);
  out.spread.yield_product = spread.quantity("yield_product", "fraction", share);
  out.spread.plasticity = spread.quantity("plasticity", "fraction", share);
  out.spread.flank_cooling = spread.quantity("flank_cooling", "fraction", {0, 0.9});
  root.finish();
  return out;
}

} // namespace tq::records
