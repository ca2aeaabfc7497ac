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
  const double w = size.width.value, h = size.height.value, foot = 3 * kText;
  Paper paper{seen_from({0.8, -1.2, 0.9}), 1, 0, 0};
  fit(paper, scene.body(0).vertices, {1.5, 1.5, w - 1.5, h - foot - 1});
  // A true scale where one fits, so that the part can be laid on its picture.
  static constexpr double kScales[] = {10, 5, 2, 1, 0.5, 0.2, 0.1, 0.05, 0.02, 0.01};
  const double* scale =
      std::find_if(std::begin(kScales), std::end(kScales), [&](double s) { return s <= paper.scale; });
  const double chosen = scale == std::end(kScales) ? paper.scale : *scale;
  const double cx = w / 2, cy = (h - foot) / 2;
  paper.dx = cx + (paper.dx - cx) * chosen / paper.scale;
  paper.dy = cy + (paper.dy - cy) * chosen / paper.scale;
  paper.scale = chosen;
  SheetSvg svg(w, h, name);
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
  svg.runs(on_paper(inner), "stroke=\"#000\" stroke-width=\"0.18\"");
  svg.runs(on_paper(rim), "stroke=\"#000\" stroke-width=\"0.35\"");
  const Vec3 s = scene.box().size();
  const std::string ratio = chosen == 1  ? "true size"
                            : chosen > 1 ? fmt::format("{}:1", number(chosen))
                                         : fmt::format("1:{}", number(1 / chosen));
  svg.text({cx, h - kText * 1.5}, wrapped(name, kText, w, 1).front(), kText, "middle");
  svg.text({cx, h - 0.6},
           fmt::format("{} x {} x {} mm, {}", number(s.x, 1), number(s.y, 1), number(s.z, 1), ratio),
           kText * 0.85, "middle");
  return std::move(svg).done();
}

}  // namespace handlot::shapes
