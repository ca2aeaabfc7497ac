// device.h: the device of a job as placed bodies: what geometry knows of it, and what it does not.
#pragma once

#include <map>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "catalogue/catalogue.h"
#include "geometry/checks.h"
#include "geometry/solid.h"
#include "job/job.h"
#include "shapes/assembly.h"
#include "shapes/blocking.h"

namespace handlot::bodies {

/// All that the rules and pictures ask of shapes. Parts of the job with a count above one stand as several bodies,
/// "screw#1", "screw#2"; `bodies_of` finds them.
struct Device {
  shapes::Assembly assembly;
  std::shared_ptr<shapes::Scene> scene;
  std::vector<geometry::Solid> solids;              ///< by index of the scene
  std::shared_ptr<shapes::Blocking> blocking;
  std::map<PartId, std::vector<std::size_t>> bodies_of;
  std::vector<PartId> part_of;                      ///< by index of the scene
  std::vector<PartId> not_modelled;                 ///< parts without a place or without a body, by id
  /// A part whose solid could not be had: a STEP file that does not read, a shape that is no solid. It is left out, with
  /// the reason; everything else is checked.
  struct LeftOut {
    PartId part;
    Diagnostic why;
  };
  std::vector<LeftOut> left_out;
  std::string key;                                  ///< the same for the same bodies in the same places
  std::vector<std::string> notes;                   ///< "solid 'Lens' of lens.step taken for 'lens' by its volume"

  bool empty() const { return part_of.empty(); }
  /// The bodies of all these parts.
  shapes::PartSet set_of(const std::vector<PartId>& parts) const;
};

struct DeviceLimits {
  double step_seconds = 20;   ///< CPU for each STEP file
  std::size_t step_megabytes = 2048;
  std::string step_program;   ///< path of handlot-step; empty = beside the running program
};

/// Area and gap of each bond whose job gives none, by the faces opposite each other (within 0.6 mm), else by how far the parts
/// stand apart (an area up to 5 mm), and says so in the joint. What the job states stands; bonds that are cast, whose parts
/// are not all modelled, or that meet without facing each other, are left as they are.
/// Cost     about 20 ms a bond; kept in the cache by content.
void measure_bonds(const Device& device, job::Job& job, const shapes::Cache& cache = shapes::Cache());

/// Builds every part that has a place in the job and a body in its card (or in the STEP file that the card names).
///
/// Errors   faults of <solid> texts, with their places. A part that lacks place or body is no error: it is listed as not
///          modelled; one whose solid can't be had is left out and named.
/// Where a body of the job file stands: turned about x, then y, then z, then moved.
shapes::Placement placed(const job::Placement& place);

Result<Device> make_device(const job::Job& job, const catalogue::Catalogue& cards, const DeviceLimits& limits, const shapes::Cache& cache);

}  // namespace handlot::bodies
