#include <APIHeaderSection_MakeHeader.hxx>
#include <BRepBuilderAPI_Transform.hxx>
#include <Interface_Static.hxx>
#include <Quantity_Color.hxx>
#include <STEPCAFControl_Writer.hxx>
#include <Standard_Failure.hxx>
#include <TCollection_HAsciiString.hxx>
#include <TDataStd_Name.hxx>
#include <TDocStd_Document.hxx>
#include <XCAFApp_Application.hxx>
#include <XCAFDoc_ColorTool.hxx>
#include <XCAFDoc_DocumentTool.hxx>
#include <XCAFDoc_ShapeTool.hxx>

#include <cstdio>
#include <filesystem>

#include "geometry/kernel.h"
#include "step_reader/step_program.h"

namespace handlot::step_reader {

namespace {

void name(const TDF_Label& label, const std::string& words) {
  TDataStd_Name::Set(label, TCollection_ExtendedString(words.c_str(), Standard_True));
}

/// The document that the writer turns into a file; empty text when it is whole.
std::string fill(const geometry::StepBundle& bundle, const Handle(TDocStd_Document) & document) {
  const Handle(XCAFDoc_ShapeTool) shapes = XCAFDoc_DocumentTool::ShapeTool(document->Main());
  const Handle(XCAFDoc_ColorTool) colours = XCAFDoc_DocumentTool::ColorTool(document->Main());
  std::vector<TDF_Label> products(bundle.shapes.size());
  const bool alone = bundle.solids.size() == 1 && bundle.solids[0].at == shapes::Placement{};
  TDF_Label top;
  if (!alone) {
    top = shapes->NewShape();
    name(top, bundle.name);
  }
  for (const geometry::BundledSolid& solid : bundle.solids) {
    TDF_Label& product = products[solid.shape];
    if (product.IsNull()) {
      TopoDS_Shape shape = geometry::shape_from(bundle.shapes[solid.shape]);
      if (shape.IsNull()) return "a solid could not be read";
      // A shape with a place of its own would be filed as a part of something else.
      if (!shape.Location().IsIdentity())
        shape = BRepBuilderAPI_Transform(shape.Located(TopLoc_Location()), shape.Location().Transformation(),
                                         Standard_True)
                    .Shape();
      product = shapes->AddShape(shape, Standard_False);
      name(product, solid.name);
    }
    TDF_Label coloured = product;
    if (!alone) {
      const TDF_Label part =
          shapes->AddComponent(top, product, TopLoc_Location(geometry::kernel_placement(solid.at)));
      name(part, solid.instance.empty() ? solid.name : solid.instance);
      coloured = part;
    }
    if (solid.colour)
      colours->SetColor(
          alone ? coloured : product,
          Quantity_Color((*solid.colour)[0], (*solid.colour)[1], (*solid.colour)[2], Quantity_TOC_sRGB),
          XCAFDoc_ColorSurf);
  }
  shapes->UpdateAssemblies();
  return {};
}

}  // namespace

std::string write(const geometry::StepBundle& bundle, const std::string& path) {
  try {
    Handle(TDocStd_Document) document;
    XCAFApp_Application::GetApplication()->NewDocument("BinXCAF", document);
    if (const std::string fault = fill(bundle, document); !fault.empty()) return fault;
    STEPCAFControl_Writer writer;
    writer.SetColorMode(Standard_True);
    writer.SetNameMode(Standard_True);
    Interface_Static::SetCVal("write.step.schema", "AP214IS");
    Interface_Static::SetCVal("write.step.unit", "MM");
    Interface_Static::SetCVal("write.step.product.name", bundle.name.c_str());
    if (!writer.Transfer(document, STEPControl_AsIs)) return "the solids could not be turned into STEP";
    // The same solids give the same bytes: no clock in the head.
    APIHeaderSection_MakeHeader head(writer.ChangeWriter().Model());
    head.SetTimeStamp(new TCollection_HAsciiString("2000-01-01T00:00:00"));
    head.SetName(new TCollection_HAsciiString(bundle.name.c_str()));
    head.SetOriginatingSystem(new TCollection_HAsciiString("handlot"));
    const std::string beside = path + ".new";
    if (writer.Write(beside.c_str()) != IFSelect_RetDone) {
      std::remove(beside.c_str());
      return "the file could not be written";
    }
    std::error_code fault;
    std::filesystem::rename(beside, path, fault);
    return fault ? "the file could not be put in its place" : "";
  } catch (const Standard_Failure& failure) {
    return failure.GetMessageString();
  }
}

}  // namespace handlot::step_reader
