#include <fmt/format.h>

#include <algorithm>
#include <memory>
#include <span>

#include "core/text.h"
#include "shapes/hidden_lines.h"
#include "shapes/paper.h"
#include "shapes/picture.h"
#include "shapes/sheet_svg.h"

namespace handlot::shapes {

std::string kit_picture(const Mesh& mesh, const std::string& name, PictureSize size) {
  Assembly one;
  Part part;
  part.id = PartId("it");
  part.name = name;
  part.mesh = std::shared_ptr<const Mesh>(std::shared_ptr<void>{}, &mesh);
  one.parts.push_back(part);
  const Scene scene(one);
  const double w = size.width.value, h = size.height.value;
  Paper paper{seen_from({0.8, -1.2, 0.9}), 1, 0, 0};
  fit(paper, scene.body(0).vertices, {0.3, 0.3, w - 0.3, h - 0.3});
  const Vec3 s = scene.box().size();
  SheetSvg svg(w, h, fmt::format("{}, {} x {} x {} mm", name, number(s.x, 1), number(s.y, 1), number(s.z, 1)));
  const Drawn drawn{&scene.body(0), &scene.edges(0), {}};
  std::vector<SeenLine> rim, inner;
  for (const SeenLine& l :
       seen_lines(std::span(&drawn, 1), paper.view, std::max(1e-3, 2.5 * scene.deflection())))
    (l.outline ? rim : inner).push_back(l);
  const auto on_paper = [&](const std::vector<SeenLine>& lines) {
    std::vector<Polygon> runs = chained(lines);
    for (Polygon& run : runs)
      for (Point2& p : run) p = paper.at(p);
    return runs;
  };
  std::vector<Polygon> tint = shadow(drawn, paper.view);
  for (Polygon& run : tint)
    for (Point2& p : run) p = paper.at(p);
  svg.filled(tint, "fill=\"#f3f3f0\"");
  svg.runs(on_paper(inner), "stroke=\"#000\" stroke-width=\"0.15\"");
  svg.runs(on_paper(rim), "stroke=\"#000\" stroke-width=\"0.3\"");
  return std::move(svg).done();
}

}  // namespace handlot::shapes
