#include <fmt/format.h>
#include <BRepBndLib.hxx>
#include <BRepBuilderAPI_Transform.hxx>
#include <BRep_Tool.hxx>
#include <Bnd_Box.hxx>
#include <Interface_Static.hxx>
#include <Message.hxx>
#include <Message_Messenger.hxx>
#include <Message_Printer.hxx>
#include <Quantity_Color.hxx>
#include <STEPCAFControl_Reader.hxx>
#include <Standard_Failure.hxx>
#include <Standard_OutOfMemory.hxx>
#include <StepRepr_RepresentationItem.hxx>
#include <TColStd_SequenceOfAsciiString.hxx>
#include <TCollection_HAsciiString.hxx>
#include <TDF_LabelSequence.hxx>
#include <TDF_Tool.hxx>
#include <TDataStd_Name.hxx>
#include <TDocStd_Document.hxx>
#include <TopExp_Explorer.hxx>
#include <TopTools_IndexedMapOfShape.hxx>
#include <TopoDS.hxx>
#include <TransferBRep.hxx>
#include <Transfer_TransientProcess.hxx>
#include <XCAFApp_Application.hxx>
#include <XCAFDoc_ColorTool.hxx>
#include <XCAFDoc_DocumentTool.hxx>
#include <XCAFDoc_ShapeTool.hxx>
#include <XCAFDoc_Volume.hxx>
#include <XSControl_TransferReader.hxx>
#include <XSControl_WorkSession.hxx>

#include <cctype>
#include <cmath>
#include <fstream>
#include <iterator>

#include "geometry/kernel.h"
#include "step_reader/guard.h"
#include "step_reader/step_program.h"

namespace handlot::step_reader {

namespace {

using geometry::StepBundle;

/// Collects what the kernel would print.
class Listener : public Message_Printer {
 public:
  mutable std::string failures;
  void send(const TCollection_AsciiString& text, const Message_Gravity gravity) const override {
    if (gravity < Message_Fail || failures.size() > 400) return;
    if (!failures.empty()) failures += "; ";
    failures += text.ToCString();
  }
};

/// One line without control signs, short enough to read.
std::string tidy(const std::string& text) {
  std::string out;
  for (char c : text) {
    const bool blank = static_cast<unsigned char>(c) <= 0x20;
    if (blank && (out.empty() || out.back() == ' ')) continue;
    out += blank ? ' ' : c;
  }
  return out.size() > 200 ? out.substr(0, 197) + "..." : out;
}

std::string name_of(const TDF_Label& label) {
  Handle(TDataStd_Name) name;
  if (!label.FindAttribute(TDataStd_Name::GetID(), name)) return {};
  std::vector<char> text(static_cast<std::size_t>(name->Get().LengthOfCString()) + 1);
  Standard_PCharacter at = text.data();
  name->Get().ToUTF8CString(at);
  return text.data();
}

/// Names that say nothing about the part: empty ones, the reader's own, those of a form instead of a thing.
bool says_nothing(const std::string& name) {
  if (name.empty() || name.rfind("=>[", 0) == 0 || name.rfind("NAUO", 0) == 0) return true;
  for (const char* form : {"SOLID", "COMPOUND", "SHELL", "FACE", "NONE", "Open CASCADE STEP translator"})
    if (name.rfind(form, 0) == 0) return true;
  return false;
}

class Reading {
 public:
  Reading(const Request& request) : request_(request), listener_(new Listener) {
    Message::DefaultMessenger()->ChangePrinters().Clear();
    Message::DefaultMessenger()->AddPrinter(listener_);
  }

  StepBundle run() {
    std::ifstream in(request_.path, std::ios::binary);
    const std::string text{std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
    bundle_.said = look_at_text(request_, text);
    if (bundle_.said.empty()) parse(text);
    bool wrong = false;
    for (const Diagnostic& d : bundle_.said) wrong = wrong || d.severity == Diagnostic::Severity::error;
    if (wrong) {
      bundle_.solids.clear();
      bundle_.shapes.clear();
    }
    return std::move(bundle_);
  }

 private:
  void wrong(std::string code, std::string text, std::string mend) {
    bundle_.said.push_back(error(std::move(code), {}, std::move(text), std::move(mend)));
  }
  void doubt(std::string code, std::string text, std::string mend) {
    bundle_.said.push_back(warning(std::move(code), {}, std::move(text), std::move(mend)));
  }

  void parse(const std::string& text) {
    reader_.SetColorMode(Standard_True);
    reader_.SetNameMode(Standard_True);
    reader_.SetPropsMode(Standard_True);
    const IFSelect_ReturnStatus status = reader_.ReadFile(request_.path.c_str());
    if (status != IFSelect_RetDone)
      return wrong("step-unreadable",
                   listener_->failures.empty()
                       ? "its text breaks the rules of STEP"
                       : "its text breaks the rules of STEP: " + tidy(listener_->failures),
                   "export the file again; it was damaged or cut short");
    session_ = reader_.ChangeReader().WS();
    if (session_->Model()->NbEntities() == 0)
      return wrong("step-empty", "the file holds no entities", "export it again");
    for (Diagnostic& d : broken_entities(session_)) bundle_.said.push_back(std::move(d));
    if (!bundle_.said.empty()) return;
    note_unit_and_schema(text);
    if (request_.numbers_are_mm && !take_numbers_as_mm()) return;
    build();
  }

  void note_unit_and_schema(const std::string& text) {
    TColStd_SequenceOfAsciiString lengths, angles, solid_angles;
    reader_.ChangeReader().FileUnits(lengths, angles, solid_angles);
    std::string unit;
    for (int i = 1; i <= lengths.Length(); ++i) {
      const std::string one = lengths.Value(i).ToCString();
      if (unit.empty()) unit = one;
      if (one != unit)
        doubt("step-units",
              fmt::format("the file uses more than one unit of length, '{}' and '{}'", unit, one),
              "check the size of each part");
    }
    for (char& c : unit) c = static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
    bundle_.unit = unit == "millimetre" || unit == "milli metre" ? "mm" : unit == "metre" ? "m" : unit;
    const std::size_t at = text.find("FILE_SCHEMA");
    const std::size_t open = at == std::string::npos ? at : text.find('\'', at);
    const std::size_t close = open == std::string::npos ? open : text.find_first_of("' {", open + 1);
    if (close != std::string::npos) bundle_.schema = text.substr(open + 1, close - open - 1);
  }

  /// The kernel turns the declared unit into its own; told that its own is the declared one, it leaves the
  /// numbers alone.
  bool take_numbers_as_mm() {
    const std::pair<const char*, const char*> known[] = {
        {"mm", "MM"},   {"inch", "INCH"}, {"m", "M"},          {"centimetre", "CM"},
        {"foot", "FT"}, {"feet", "FT"},   {"micrometre", "UM"}};
    for (const auto& [unit, own] : known)
      if (bundle_.unit == unit || bundle_.unit.empty()) {
        Interface_Static::SetCVal("xstep.cascade.unit", own);
        bundle_.unit = "mm";
        return true;
      }
    wrong("step-units", fmt::format("numbers in '{}' cannot be taken as mm", bundle_.unit),
          "export the file in mm");
    return false;
  }

  void build() {
    Handle(TDocStd_Document) document;
    XCAFApp_Application::GetApplication()->NewDocument("BinXCAF", document);
    if (!reader_.Transfer(document)) {
      if (only_tessellated(session_->Model())) return refuse_triangles();
      return wrong("step-empty", "no shape could be made of the file", "export it again, with solids");
    }
    shapes_ = XCAFDoc_DocumentTool::ShapeTool(document->Main());
    colours_ = XCAFDoc_DocumentTool::ColorTool(document->Main());
    TDF_LabelSequence roots;
    shapes_->GetFreeShapes(roots);
    for (int i = 1; i <= roots.Length(); ++i) walk(roots.Value(i), {}, {}, "", "", 0);
    if (bundle_.solids.empty()) return refuse_without_solids();
    if (leaves_without_solid_ > 0)
      doubt("step-no-solid",
            fmt::format("{} shapes of the file hold no solid and were left out", leaves_without_solid_),
            "nothing, unless a part is missing");
    if (open_shells_ > 0)
      doubt("step-open", fmt::format("{} surfaces of the file are open and were left out", open_shells_),
            "close them to solids where a part is missing");
    look_at_size();
  }

  void refuse_triangles() {
    wrong("step-tessellated", "the file holds triangles only, no solids",
          "export with exact (boundary) solids instead of tessellation");
  }
  void refuse_without_solids() {
    if (only_tessellated(session_->Model())) return refuse_triangles();
    if (open_shells_ > 0)
      return wrong("step-open", "the file holds open surfaces, no solid",
                   "close the surfaces to a solid and export it again");
    wrong("step-empty", "the file holds no solid", "export the part itself, not only its drawing or sketch");
  }

  /// The name of a thing, from the first of these that has one.
  std::string best_name(std::initializer_list<std::string> names, const TopoDS_Shape& shape) {
    for (const std::string& name : names)
      if (!says_nothing(name)) return name;
    const Handle(Standard_Transient) entity = session_->TransferReader()->EntityFromShapeResult(shape, 3);
    const Handle(StepRepr_RepresentationItem) item = Handle(StepRepr_RepresentationItem)::DownCast(entity);
    if (!item.IsNull() && !item->Name().IsNull() && !says_nothing(item->Name()->ToCString()))
      return item->Name()->ToCString();
    return fmt::format("solid {}", bundle_.solids.size() + 1);
  }

  std::optional<std::array<double, 3>> colour_of(const TDF_Label& instance, const TDF_Label& product,
                                                 const TopoDS_Shape& solid) {
    Quantity_Color c;
    for (const XCAFDoc_ColorType type : {XCAFDoc_ColorSurf, XCAFDoc_ColorGen}) {
      if ((!instance.IsNull() && colours_->GetColor(instance, type, c)) ||
          colours_->GetColor(product, type, c) || colours_->GetColor(solid, type, c)) {
        std::array<double, 3> rgb{};
        c.Values(rgb[0], rgb[1], rgb[2], Quantity_TOC_sRGB);
        return rgb;
      }
    }
    return std::nullopt;
  }

  void walk(const TDF_Label& label, const TopLoc_Location& at, const TDF_Label& instance,
            const std::string& path, const std::string& above, int depth) {
    if (depth > 64) return;
    const std::string own = name_of(label),
                      by_instance = instance.IsNull() ? std::string{} : name_of(instance);
    const std::string name = !says_nothing(own) ? own : !says_nothing(by_instance) ? by_instance : above;
    const std::string here = path.empty() ? name : path + "/" + name;
    if (!shapes_->IsAssembly(label)) return leaf(label, at, instance, here, {own, by_instance, above});
    TDF_LabelSequence parts;
    shapes_->GetComponents(label, parts);
    for (int i = 1; i <= parts.Length(); ++i) {
      TDF_Label product;
      if (!shapes_->GetReferredShape(parts.Value(i), product)) continue;
      walk(product, at * shapes_->GetLocation(parts.Value(i)), parts.Value(i), here, name, depth + 1);
    }
  }

  void leaf(const TDF_Label& label, const TopLoc_Location& at, const TDF_Label& instance,
            const std::string& path, std::initializer_list<std::string> names) {
    const TopoDS_Shape shape = shapes_->GetShape(label);
    int count = 0;
    for (TopExp_Explorer s(shape, TopAbs_SOLID); s.More(); s.Next()) ++count;
    for (TopExp_Explorer shells(shape, TopAbs_SHELL, TopAbs_SOLID); shells.More(); shells.Next())
      ++open_shells_;
    if (count == 0) {
      ++leaves_without_solid_;
      return;
    }
    std::optional<double> volume;
    Handle(XCAFDoc_Volume) stated;
    if (count == 1 && bundle_.unit == "mm" && label.FindAttribute(XCAFDoc_Volume::GetID(), stated))
      volume = stated->Get();
    int n = 0;
    for (TopExp_Explorer s(shape, TopAbs_SOLID); s.More(); s.Next()) {
      ++n;
      std::string name = best_name(names, s.Current());
      if (count > 1) {
        const Handle(StepRepr_RepresentationItem) item = Handle(StepRepr_RepresentationItem)::DownCast(
            session_->TransferReader()->EntityFromShapeResult(s.Current(), 3));
        const std::string own =
            item.IsNull() || item->Name().IsNull() ? std::string{} : item->Name()->ToCString();
        name = says_nothing(own) ? fmt::format("{} ({})", name, n) : own;
      }
      add(s.Current(), at, name, instance.IsNull() ? std::string{} : name_of(instance), path,
          colour_of(instance, label, s.Current()), volume);
    }
  }

  void add(const TopoDS_Shape& solid, const TopLoc_Location& at, const std::string& name,
           const std::string& instance, const std::string& path,
           const std::optional<std::array<double, 3>>& colour, std::optional<double> volume) {
    const TopLoc_Location whole = at * solid.Location();
    gp_Trsf trsf = whole.Transformation();
    TopoDS_Shape bare = solid.Located(TopLoc_Location());
    // A mirrored or scaled instance is a shape of its own.
    if (trsf.IsNegative() || std::abs(trsf.ScaleFactor() - 1) > 1e-9) {
      bare = BRepBuilderAPI_Transform(bare, trsf, Standard_True).Shape();
      trsf = gp_Trsf();
    }
    int index = known_.FindIndex(bare);
    if (index == 0) {
      if (!settle(bare, name)) return;
      index = known_.Add(bare);
    }
    geometry::BundledSolid entry{name,  says_nothing(instance) ? std::string{} : instance,
                                 path,  static_cast<std::size_t>(index - 1),
                                 {},    colour,
                                 volume};
    for (int r = 1; r <= 3; ++r)
      for (int c = 1; c <= 3; ++c)
        entry.at.turn[static_cast<std::size_t>((r - 1) * 3 + c - 1)] = trsf.Value(r, c);
    entry.at.shift = {trsf.Value(1, 4), trsf.Value(2, 4), trsf.Value(3, 4)};
    bundle_.solids.push_back(std::move(entry));
    BRepBndLib::Add(solid.Moved(at), box_);
  }

  /// Takes a solid in if it is sound; says what is wrong with it otherwise.
  bool settle(const TopoDS_Shape& solid, const std::string& name) {
    TopTools_IndexedMapOfShape faces;
    for (TopExp_Explorer f(solid, TopAbs_FACE); f.More(); f.Next()) faces.Add(f.Current());
    faces_ += static_cast<std::size_t>(faces.Extent());
    if (faces_ > request_.faces) {
      if (!too_large_)
        wrong("step-too-large", fmt::format("the file has more than {} faces", request_.faces),
              "export a simpler model: leave out threads, text and inner works");
      too_large_ = true;
      return false;
    }
    Bnd_Box box;
    BRepBndLib::Add(solid, box);
    const double far = box.IsVoid() ? 1e300 : std::sqrt(box.SquareExtent());
    if (!(far < 1e5)) {
      wrong("step-too-large", fmt::format("'{}' has no sound size", name),
            "export the file again; its numbers are damaged");
      return false;
    }
    count_round_numbers(solid);
    bundle_.shapes.push_back(geometry::bytes_of(solid));
    return true;
  }

  /// People draw in round numbers of the unit they think in.
  void count_round_numbers(const TopoDS_Shape& solid) {
    const auto round = [](double v) { return std::abs(v * 2 - std::round(v * 2)) < 1e-5; };
    for (TopExp_Explorer v(solid, TopAbs_VERTEX); v.More(); v.Next()) {
      const gp_Pnt p = BRep_Tool::Pnt(TopoDS::Vertex(v.Current()));
      for (double c : {p.X(), p.Y(), p.Z()}) {
        if (round(c)) ++round_in_mm_;
        if (round(c / 25.4)) ++round_in_inch_;
      }
    }
  }

  void look_at_size() {
    if (box_.IsVoid()) return;
    const double size = std::sqrt(box_.SquareExtent());
    const bool inch = bundle_.unit.find("inch") != std::string::npos;
    if (inch && size > 1000 && round_in_inch_ > round_in_mm_) {
      doubt(
          "step-unit-doubtful",
          fmt::format("the file says inch, which makes it {:.0f} mm large; read as mm it would be {:.0f} mm",
                      size, size / 25.4),
          "if mm were meant, export it again in mm; if not, write its length, width and height into its card");
    } else if (size < 1 || size > 2000) {
      doubt("step-unit-doubtful",
            fmt::format("the file says {}, which makes it {:.4g} mm large",
                        bundle_.unit.empty() ? "no unit" : bundle_.unit, size),
            "export it again in the unit that it was drawn in; if it is of that size, write its length, width and height into its card");
    }
    if (bundle_.unit.empty())
      doubt("step-units", "the file does not say its unit of length; mm was taken",
            "export it again with its unit");
  }

  const Request& request_;
  Handle(Listener) listener_;
  STEPCAFControl_Reader reader_;
  Handle(XSControl_WorkSession) session_;
  Handle(XCAFDoc_ShapeTool) shapes_;
  Handle(XCAFDoc_ColorTool) colours_;
  TopTools_IndexedMapOfShape known_;
  Bnd_Box box_;
  std::size_t faces_ = 0, open_shells_ = 0, leaves_without_solid_ = 0;
  std::size_t round_in_mm_ = 0, round_in_inch_ = 0;
  bool too_large_ = false;
  StepBundle bundle_;
};

}  // namespace

StepBundle read(const Request& request) {
  try {
    return Reading(request).run();
  } catch (const Standard_OutOfMemory&) {
    throw std::bad_alloc();
  } catch (const Standard_Failure& failure) {
    StepBundle bundle;
    bundle.said.push_back(
        error("step-broken", {},
              fmt::format("the solid kernel gave up on it: {}", tidy(failure.GetMessageString())),
              "export the file again, or with less detail"));
    return bundle;
  }
}

}  // namespace handlot::step_reader
