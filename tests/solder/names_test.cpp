// Values and packages as people spell them: which are surely two things.
#include <catch2/catch.hpp>

#include "solder/package.h"
#include "solder/value.h"

using namespace handlot;
using namespace handlot::solder;

TEST_CASE("values that are surely two are told apart, spellings of one are not", "[solder]") {
  const auto differ = [](const char* ref, const char* a, const char* b) { return values_differ(ref, a, b) && values_differ(ref, b, a); };
  CHECK(differ("R4", "1k", "10k"));
  CHECK(differ("R1", "4R7", "47R"));
  CHECK(differ("R1", "4k7", "4.7"));
  CHECK(differ("R1", "10k 1%", "1k/1%"));
  CHECK(differ("R1", "0R", "10k"));
  CHECK(differ("R1", "4700", "47k"));
  CHECK(differ("C1", "100n", "100p"));
  CHECK(differ("C3", "10u", "1 uF 50V X7R"));
  CHECK(differ("L1", "4u7", "47uH"));
  using Spellings = std::vector<const char*>;
  const std::vector<std::pair<const char*, Spellings>> same{
      {"R1", {"1k0", "1k", "1K", "1.0k", "1,0k", "1000", "1000R", "1 k\xCE\xA9", "1k\xE2\x84\xA6", "1 kohm", "1kOhm 1%", "1k/1%", "1k_0603", "102"}},
      {"R2", {"4R7", "4.7R", "4,7 ohm", "4.7", "4E7"}},
      {"R3", {"0R1", "R10", "100m", "0.1", "0.1R"}},
      {"R4", {"1M", "1Meg", "1m", "1000k", "1M0"}},
      {"C1", {"100n", "100nF", "0,1u", "0.1uF", "0,1\xC2\xB5", "0.1 \xCE\xBC""F", "u1", "100 nF 16V", "100NF", "0.1MFD", "100000pF"}},
      {"L1", {"10u", "10uH", "10 uH", "0.01mH"}}};
  for (const auto& [ref, spellings] : same) {
    for (const char* a : spellings) {
      CAPTURE(ref, a);
      CHECK_FALSE(differ(ref, a, spellings.front()));
      CHECK(values_differ(ref, a, std::string(ref).starts_with("R") ? "777k" : "777n"));  // it is read
    }
  }
}

TEST_CASE("values that can't be read differ from nothing", "[solder]") {
  for (const char* other : {"", "DNP", "RC0603FR-0710KL", "see note", "NTC 10k", "1/4W 1k", "10k1%", "104", "X7R 100n"}) {
    CAPTURE(other);
    CHECK_FALSE(values_differ("C1", "22n", other));
    if (std::string(other) != "104") CHECK_FALSE(values_differ("R1", "22k", other));
  }
  CHECK_FALSE(values_differ("U1", "1k", "10k"));
  CHECK_FALSE(values_differ("FB1", "600R", "120R"));
  CHECK_FALSE(values_differ("R1", "103", "10k"));  // the code of the part
  CHECK_FALSE(values_differ("C1", "100", "100n"));
}

TEST_CASE("packages that are surely two are told apart", "[solder]") {
  const auto differ = [](const char* a, const char* b) { return packages_differ(a, b) && packages_differ(b, a); };
  CHECK(differ("SOIC-8", "tssop-16"));
  CHECK(differ("SOIC-8", "tssop-8"));
  CHECK(differ("SO-8", "SOIC-16"));
  CHECK(differ("SOD-123", "sot-23"));
  CHECK(differ("SOT-23-5", "SOT-23-6"));
  CHECK(differ("SOT-23-3", "SOT-23-5"));
  CHECK(differ("SOT-363", "SOT-353"));
  CHECK(differ("Package_TO_SOT_SMD:SOT-223-3_TabPin2", "sot-23"));
  CHECK(differ("QFN-32-1EP_5x5mm_P0.5mm_EP3.1x3.1mm", "QFN-24"));
  CHECK(differ("LQFP-48_7x7mm_P0.5mm", "QFN-48"));
  CHECK(differ("16-TSSOP", "TSSOP-20"));
  CHECK(differ("16-pin TSSOP", "TSSOP-20"));
  CHECK(differ("SMA", "SMB"));
  CHECK(differ("DIP-8", "SO-8"));
  CHECK(differ("0805", "0603"));
  CHECK(differ("R_0805_2012Metric", "0603"));
  CHECK(differ("0603", "sot-23"));
  CHECK(packages_differ("R_0603_1608Metric", "0603", CodeUnit::metric));
  CHECK(differ("Lib2019:0805", "0603"));
}

TEST_CASE("names of one body are one package", "[solder]") {
  const std::vector<std::vector<const char*>> same{
      {"SO-8", "SOIC-8", "SOP-8", "so8", "SO08", "8-SOIC", "SOIC-8_3.9x4.9mm_P1.27mm", "Package_SO:SOIC-8_3.9x4.9mm_P1.27mm", "SOIC127P600X175-8N", "SOP-8_L4.9-W3.9-P1.27", "SO-8EP", "SOIC-8-1EP"},
      {"TSSOP-16", "TSSOP16", "16-TSSOP", "TSSOP-16_4.4x5mm_P0.65mm", "SSOP-16", "HTSSOP-16-1EP_4.4x5mm", "TSSOP-17"},
      {"MSOP-8", "VSSOP-8", "SOP-8", "MSOP8"},
      {"SOT-23", "TO-236", "TO-236AB", "SOT23-3", "SOT-23-3", "SC-59", "Package_TO_SOT_SMD:SOT-23", "sot-23"},
      {"SOT-23-5", "SOT-25", "TSOT-23-5", "SOT-23"},
      {"QFN-32", "VQFN-32", "QFN-33", "QFN-32-1EP_5x5mm_P0.5mm", "DFN-32", "QFN 5x5", "LGA-32"},
      {"SMA", "DO-214AC", "D_SMA", "DO-214"},
      {"MiniMELF", "SOD-80", "MELF", "D_MiniMELF", "LL-34", "DO-213AA"},
      {"TO-252-2", "DPAK", "TO-252-3", "TO-252"},
      {"0603", "R_0603_1608Metric", "1608", "R0603", "LED_0603_1608Metric", "CAPC1608X90N", "Lib2019:0603", "Lib0805:0603"},
      {"0402", "DFN1006-2", "LED 0402"}};
  for (const auto& names : same) {
    for (const char* a : names) {
      CAPTURE(names.front(), a);
      CHECK_FALSE(packages_differ(a, names.front()));
      CHECK_FALSE(packages_differ(names.front(), a));
    }
  }
}

TEST_CASE("packages that can't be read differ from nothing", "[solder]") {
  for (const char* other : {"", "RELAY", "custom", "SOT95P237X112-3N", "WLCSP-6", "CP_Elec_6.3x5.4", "SMAF", "Crystal_SMD_2520", "USB-C", "PinHeader_1x04_P2.54mm"}) {
    for (const char* known : {"0603", "SOIC-8", "sot-23", "QFN-32"}) {
      CAPTURE(other, known);
      CHECK_FALSE(packages_differ(known, other));
    }
  }
}
