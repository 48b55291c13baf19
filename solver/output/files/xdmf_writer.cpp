#include "output/files/xdmf_writer.hpp"

#include "output/figures.hpp"
#include "output/files/hdf5_writer.hpp"
#include "output/text.hpp"

namespace tq::output {

std::string xdmf_text(const treatment::Case& c, const treatment::Run& run, std::size_t station,
                      const std::string& hdf5_name) {
  const WholeSection whole(run.grid);
  const std::string shape = formatted("%d %d", whole.nj, whole.ni);
  const std::string file = xml_escaped(hdf5_name) + ":/xdmf/" + station_group(station) + "/";
  const std::vector<std::string> quantities = frame_quantities(c, run);
  const auto item = [&](const std::string& dimensions, const std::string& name) {
    return "<DataItem Dimensions=\"" + dimensions +
           "\" NumberType=\"Float\" Precision=\"8\" Format=\"HDF\">" + file + name + "</DataItem>";
  };

  std::string out = "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<Xdmf Version=\"3.0\">\n <Domain>\n";
  out += "  <Grid Name=\"" + xml_escaped(run.station) +
         "\" GridType=\"Collection\" CollectionType=\"Temporal\">\n";
  for (std::size_t t = 0; t < run.frames.size(); ++t) {
    out += "   <Grid Name=\"section\" GridType=\"Uniform\">\n";
    out += formatted("    <Time Value=\"%.17g\"/>\n", run.frames[t].time_s);
    out += "    <Topology TopologyType=\"2DSMesh\" Dimensions=\"" + shape + "\"/>\n";
    out += "    <Geometry GeometryType=\"XYZ\">" + item(shape + " 3", "points") + "</Geometry>\n";
    for (const std::string& quantity : quantities)
      out += "    <Attribute Name=\"" + quantity + "\" AttributeType=\"Scalar\" Center=\"Node\">" +
             item(shape, frame_view(quantity, t)) + "</Attribute>\n";
    out += "   </Grid>\n";
  }
  out += "  </Grid>\n </Domain>\n</Xdmf>\n";
  return out;
}

} // namespace tq::output
