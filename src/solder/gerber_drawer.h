// gerber_drawer.h: the pen of a Gerber file: flashes, draws, regions, blocks, repeats. Used by the Gerber
// reader only.
#pragma once

#include <map>
#include <set>
#include <string>
#include <vector>

#include "solder/gerber_reader.h"

namespace handlot::solder::gerber {

struct Format {
  int whole = 0, decimals = 0;
  bool trailing_omitted = false;
  bool given = false;
};

struct State {
  Format format;
  double mm = 0;  ///< per unit; 0 = not said
  int aperture = 0;
  int mode = 1;  ///< G01, G02, G03
  bool single_quadrant = false;
  bool region = false;
  bool dark = true;
  Transform transform;
  bool mirror_x = false, mirror_y = false;
  double turn = 0, scale = 1;
  Point at;
  int operation = 0;
  std::string component, pin;
};

/// Puts objects down as the state says, and collects what is wrong.
class Drawer {
 public:
  Drawer(std::string file, const GerberLimits& limits, double error)
      : file_(std::move(file)), limits_(limits), error_(error) {
    targets_.push_back({});
  }

  State state;
  Drawing drawing;
  Diagnostics faults;
  int line = 1;

  const std::string& file() const { return file_; }
  double error_of_chords() const { return error_; }
  void fault(const char* code, std::string text, std::string mend, int at_line = 0);
  void warn(const char* code, std::string text, std::string mend);
  void set_transform();

  void flash(Point p);
  void draw(Point to, Point offset);
  void begin_contour();
  void close_contour();
  void drop_contour() { contour_.clear(); }

  void begin_block(int code);
  void end_block();
  void begin_repeat(double nx, double ny, double dx, double dy);
  void end_repeat();
  /// Whether a block or a repeat is still open.
  bool nested() const { return targets_.size() > 1; }
  std::vector<Object> take_objects() { return std::move(targets_.front().objects); }

 private:
  /// Where objects go: the image, a block aperture or a step-and-repeat.
  struct Target {
    std::vector<Object> objects;
    int block = 0;
    int nx = 1, ny = 1;
    double dx = 0, dy = 0;
    bool repeat = false;
  };

  bool count_one();
  bool place(const Object& o, const Transform& transform, bool keep);
  Object object(std::vector<Ring> rings) const;
  const Aperture* current();
  bool arc(Point to, Point offset, std::vector<Point>& path);

  std::string file_;
  GerberLimits limits_;
  double error_;
  bool too_many_ = false;
  int count_ = 0;
  std::vector<Point> contour_;
  std::set<int> told_apertures_;
  std::vector<Target> targets_;
};

inline constexpr std::size_t kFaultsTold = 20;

}  // namespace handlot::solder::gerber
