#include "solder/placement_list.h"

#include <fmt/format.h>

#include <algorithm>
#include <catch2/catch.hpp>

using namespace handlot;
using namespace handlot::solder;

namespace {

std::vector<std::string> codes(const std::string& text) {
  const auto read = read_placement_list(text, "list.csv");
  std::vector<std::string> all;
  if (!read) {
    for (const Diagnostic& d : read.error()) all.push_back(d.code);
  }
  return all;
}

using Codes = std::vector<std::string>;

}  // namespace

TEST_CASE("dialects of one placement list say the same", "[solder]") {
  const std::vector<std::string> dialects{
      "ref,value,package,x (mm),y (mm),rotation,side\nR1,10k,0603,12.5,-3.25,90,top\nC2,100n,0603,0,4,0,bottom\n",
      "Reference;Value;Footprint;Pos X [mm];Pos Y [mm];Rot;Layer\r\nR1;10k;0603;12,5;-3,25;90;T\r\nC2;100n;0603;0;4;0;B\r\n",
      "# unit: mm\nDesignator\tMid X\tMid Y\tRotation\tSide\tPackage\tVal\nR1\t12.5\t-3.25\t90\tfront\t0603\t10k\nC2\t0\t4\t0\tback\t0603\t100n\n",
      "ref|x|y|angle|side|value|package\nR1|12.5mm|-3.25mm|90|Top Layer|10k|0603\nC2|0mm|4mm|0|Bottom Layer|100n|0603\n",
      "\xEF\xBB\xBFref,value,package,x_mil,y_mil,turn,side\nR1,10k,0603,492.126,-127.953,90,top\nC2,100n,0603,0,157.480,0,bot\n",
      "Pick and place\n\nUnits used: mil\n\nDesignator,Comment,Layer,Footprint,Center-X,Center-Y,Rotation,Value\nR1,r,F.Cu,0603,492.126,-127.953,90,10k\nC2,c,B.Cu,0603,0,157.480,0,100n\n",
      "### places ###\n## Unit = mm, Angle = deg.\n# Ref  Val   Package  PosX    PosY   Rot  Side\nR1     10k   0603     12.5    -3.25  90   top\nC2     100n  0603      0.0     4.0    0   bottom\n## End\n",
      "ref,value,x,y,unit,rotation,mirror,package\nR1,10k,12.5,-3.25,mm,90,No,0603\nC2,100n,0,4,mm,0,Yes,0603\n",
      "Part,X (in),Y (in),Rotation,Side,Value,Package\nR1,0.492126,-0.127953,90,Top,10k,0603\nC2,0,0.157480,0,Bot,100n,0603\n",
      "ref,value,x (mm),y (mm),rotation,side,package\nR1,10k,12.5,-3.25,90\xC2\xB0,top,0603\nC2,100n,0,4,0 deg,bottom,0603\n",
      "ref,value,x (mm),y (mm),rotation,side,package\nR1\xC2\xA0,10k,12.5,-3.25,90,top,0603\n=\"C2\",100n,0,4,0,bottom,\xC2\xA0" "0603\n",
      "value,ref,x (in),y (in),rot,side,package\n10k,R1,0.492126,-0.127953,90,t,0603\n100n,C2,0,0.157480,0,b,0603\n",
  };
  for (const std::string& text : dialects) {
    INFO(text);
    const auto list = read_placement_list(text, "list.csv");
    REQUIRE(list.has_value());
    REQUIRE(list->parts.size() == 2);
    const ListedPart &r = list->parts[0], &c = list->parts[1];
    CHECK(r.ref == "R1");
    CHECK(r.value == "10k");
    CHECK(r.package == "0603");
    CHECK(r.centre.x == Approx(12.5).margin(1e-4));
    CHECK(r.centre.y == Approx(-3.25).margin(1e-4));
    CHECK(r.turned.value == 90);
    CHECK_FALSE(r.bottom);
    CHECK(c.bottom);
    CHECK(list->notes.empty());
  }
}

TEST_CASE("what a placement list leaves out is said, what it leaves open is asked", "[solder][errors]") {
  const auto bare = read_placement_list("ref,x (mm),y (mm)\nR1,1,2\n", "list.csv");
  REQUIRE(bare.has_value());
  CHECK(bare->notes.size() == 2);  // side, rotation
  CHECK(codes("ref,x,y\nR1,1,2\nR2,3,4\n") == Codes{"placement-unit"});  // asked once, never chosen
  CHECK(codes("a,b\n1,2\n") == Codes{"placement-columns"});
  CHECK(codes("ref,x (mm),y (mm),side\nR1,1,2,edge\n") == Codes{"placement-side"});
  CHECK(codes("ref,x (mm),y (mm)\nR1,1,2\nR1,3,4\n") == Codes{"placement-twice"});
  CHECK(codes("ref,x (mm),y (mm)\nR1,one,2\n") == Codes{"placement-number"});
  CHECK(codes("ref,x (mm),y (mm)\nR1,1 furlong,2\n") == Codes{"placement-number"});
  CHECK(codes("ref,x (mm),y (mm),rot\nR1,1,2,left\n") == Codes{"placement-number"});
  CHECK(codes("ref,x (mm),y (mm)\nR1,nan,2\n") == Codes{"placement-number"});
  CHECK(codes("ref,x (mm),y (mm)\nR1,1e9,2\n") == Codes{"placement-number"});
  CHECK(codes("ref,x (mm),y (mm)\n,1,2\n") == Codes{"placement-columns"});
  CHECK(codes("ref,x (mm),y (mm)\n") == Codes{"placement-empty"});
  CHECK(codes("") == Codes{"csv-empty"});
}

TEST_CASE("units and mirrors of a row that are none are asked about, what is no part is known", "[solder][errors]") {
  CHECK(codes("ref,x,y,unit\nR1,1,2,furlong\n") == Codes{"placement-unit"});
  CHECK(codes("ref,x (mm),y (mm),mirror\nR1,1,2,perhaps\n") == Codes{"placement-side"});
  CHECK(codes("R1 6.00 5.00 0 10k 0603\nR2 7.00 5.00 0 10k 0603\n") == Codes{"placement-columns"});
  const auto no_part = [](const char* ref, const char* value) {
    ListedPart row;
    row.ref = ref;
    row.value = value;
    return is_no_part(row);
  };
  for (const char* ref : {"FID1", "TP12", "MH3"}) CHECK(no_part(ref, ""));
  CHECK(no_part("H1", "MountingHole"));
  for (const char* ref : {"H1", "T1", "F1", "R1", "TPS62"}) CHECK_FALSE(no_part(ref, "10k"));
}

TEST_CASE("parts that are not fitted are counted and left out", "[solder]") {
  const auto list = read_placement_list("ref,value,x (mm),y (mm),fitted\nR1,10k,1,2,yes\nR2,10k,3,4,no\nR3,DNP,5,6,yes\n", "list.csv");
  REQUIRE(list.has_value());
  CHECK(list->parts.size() == 1);
  CHECK(list->not_fitted == 2);
}

TEST_CASE("marks of parts that stay off are known in the words people use, others are asked about", "[solder]") {
  const auto off = [](const std::string& head, const std::string& mark) {
    const auto list = read_placement_list("ref,x (mm),y (mm)," + head + "\nR1,1,2," + mark + "\nR2,3,4,\n", "list.csv");
    if (!list) return list.error().front().code;
    return std::string(list->not_fitted == 1 ? "off" : "on");
  };
  for (const char* mark : {"no", "Not Fitted", "do not fit", "Do Not Place", "DNP", "DNI", "nofit", "-", "not placed", "FALSE"}) CHECK(off("fitted", mark) == "off");
  for (const char* mark : {"yes", "Fitted", "1", "x", "populated", ""}) CHECK(off("fitted", mark) == "on");
  for (const char* mark : {"DNP", "yes", "x", "1", "true"}) CHECK(off("DNP", mark) == "off");
  for (const char* mark : {"no", "0", "", "-", "fitted"}) CHECK(off("DNF", mark) == "on");
  CHECK(off("fitted", "later") == "placement-fitted");
  CHECK(off("DNP", "option B") == "placement-fitted");
}

TEST_CASE("a placement list says which line it takes as its head, and asks about a comma before three digits", "[solder][errors]") {
  const auto head = read_placement_list("# made by hand\nBoard 3\nref,x (mm),y (mm),side\nR1,1,2,edge\n", "list.csv");
  REQUIRE_FALSE(head.has_value());
  CHECK(head.error().front().place.line == 4);  // a title above the head is no head
  const auto columns = read_placement_list("part no,x (mm),y (mm)\nR1,1,2\n", "list.csv");
  REQUIRE_FALSE(columns.has_value());
  CHECK(columns.error().front().text.find("line 1 is taken as its head, with 'part no', 'x (mm)' and 'y (mm)'") != std::string::npos);
  const auto asked = read_placement_list("ref,x (mm),y (mm)\nR1,\"1,500\",2\n", "list.csv");
  REQUIRE_FALSE(asked.has_value());
  CHECK(asked.error().front().code == "csv-thousands");
  CHECK(read_placement_list("ref,x (mm),y (mm)\nR1,\"1,500\",\"2,25\"\n", "list.csv").has_value());
}

TEST_CASE("a fault that every line has is told once", "[solder][errors]") {
  const auto first = [](const std::string& text) {
    const auto read = read_placement_list(text, "list.csv");
    return read ? std::string("read") : fmt::format("{} {}", read.error().size(), read.error().front().text);
  };
  CHECK(first("ref,x (mm),y (mm),side\nR1,1,2,1\nR2,3,4,1\nR3,5,6,1\nR4,7,8,edge\n") == "2 '1' of R1 is no side of a board; 2 more lines have this fault");
  CHECK(first("ref;x (um);y (um)\nR1;5000;1\nR2;\"1,5\";2\n") == "read");
  CHECK(first("ref\tx (um)\ty (um)\nR1\t5,000\t5,000\nR2\t9,000\t5,000\n") == "1 '5,000' of R1 may be a thousand or a decimal fraction; 1 more line has this fault");
}

TEST_CASE("lists with carriage returns alone, in UTF-16 and in ISO 8859-1 are read", "[solder]") {
  const std::string plain = "ref,comment,x (\xC2\xB5m),y (\xC2\xB5m)\nR1,10k,5000,2000\nC1,1\xC2\xB5,9000,2000\n";
  std::string returns = plain, latin, wide = "\xFF\xFE";
  std::replace(returns.begin(), returns.end(), '\n', '\r');
  for (std::size_t i = 0; i < plain.size(); ++i) {
    if (plain[i] == '\xC2') continue;
    latin += plain[i];
    wide += plain[i];
    wide += '\0';
  }
  for (const std::string& text : {plain, returns, latin, wide}) {
    const auto list = read_placement_list(text, "list.csv");
    REQUIRE(list.has_value());
    REQUIRE(list->parts.size() == 2);
    CHECK(list->parts[1].value == "1\xC2\xB5");
    CHECK(list->parts[1].line == 3);
    CHECK(list->parts[1].centre.x == Approx(9));
  }
}

TEST_CASE("a mangled placement list gives parts or a fault with its line, and nothing else", "[solder][errors]") {
  const std::string good = "# unit: mm\nref;value;package;x;y;rotation;side\nR1;10k;0603;12,5;-3,25;90;top\nU1;chip;TSSOP-16;0;0;0;bottom\n";
  std::size_t answered = 0, refused = 0;
  unsigned seed = 7;
  for (int round = 0; round < 3000; ++round) {
    std::string text = good;
    for (int k = 0; k < 1 + round % 4; ++k) {
      seed = seed * 1664525u + 1013904223u;
      const std::size_t at = (seed >> 8) % text.size();
      switch ((seed >> 4) % 4) {
        case 0: text[at] = static_cast<char>(seed >> 16); break;
        case 1: text.erase(at, 1 + (seed >> 20) % 9); break;
        case 2: text.insert(at, text.substr((seed >> 12) % text.size(), (seed >> 21) % 12)); break;
        default: text.resize(at + 1); break;
      }
      if (text.empty()) text = "x";
    }
    const auto list = read_placement_list(text, "list.csv");
    if (list) {
      ++answered;
      for (const ListedPart& p : list->parts) {
        CHECK(std::abs(p.centre.x) <= 2000);
        CHECK_FALSE(p.ref.empty());
      }
    } else {
      ++refused;
      REQUIRE_FALSE(list.error().empty());
      CHECK_FALSE(list.error().front().mend.empty());
    }
  }
  CHECK(answered > 100);
  CHECK(refused > 100);
}

TEST_CASE("an angle may carry its sign", "[solder]") {
  for (const std::string angle : {"90", "90\xC2\xB0", "90 deg", "90degrees", "90.0 \xC2\xB0"}) {
    CAPTURE(angle);
    const auto list = read_placement_list("ref,x (mm),y (mm),rot\nR1,1,2," + angle + "\n", "list.csv");
    REQUIRE(list);
    CHECK(list->parts.at(0).turned.value == 90);
  }
  CHECK_FALSE(read_placement_list("ref,x (mm),y (mm),rot\nR1,1,2,left\n", "list.csv"));
}
