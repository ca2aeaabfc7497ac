// handlot-step: reads a STEP file and hands its solids back as bytes on standard output; or writes one.
#include <fcntl.h>
#include <sys/personality.h>
#include <sys/resource.h>
#include <unistd.h>

#include <charconv>
#include <cstdio>
#include <cstring>
#include <iostream>
#include <iterator>
#include <new>
#include <string>
#include <vector>

#include "step_reader/step_program.h"

namespace {

using namespace handlot;

constexpr const char* kHelp =
    "handlot-step part.step --seconds 20 --memory 2000 > part.solids\n"
    "handlot-step --write part.step < part.solids\n"
    "\n"
    "Reads a STEP file (AP203, AP214, AP242) and writes its solids, names, colours and places as bytes for "
    "handlot;\n"
    "or writes a STEP file from such bytes.\n"
    "  --seconds N   processor time at most (20)\n"
    "  --memory MB   memory at most (2000)\n"
    "  --faces N     faces at most (200000)\n"
    "  --mm          its numbers are mm, whatever unit it declares\n"
    "  --folder DIR  references to other files may not leave this folder (that of the file)\n"
    "Exit: 0 done; 2 usage; 3 the file is wrong (the answer says how); 4 cannot write.\n";

struct Options {
  step_reader::Request read;
  std::string write;
  rlim_t seconds = 20, memory_mb = 2000;
  bool help = false, wrong = false;
};

template <class T>
bool number(const char* text, T& value) {
  const auto [end, fault] = std::from_chars(text, text + std::strlen(text), value);
  return fault == std::errc{} && *end == 0 && value > 0;
}

Options parse(int argc, char** argv) {
  Options o;
  for (int i = 1; i < argc; ++i) {
    const std::string word = argv[i];
    const char* value = i + 1 < argc ? argv[i + 1] : "";
    if (word == "--help") {
      o.help = true;
    } else if (word == "--seconds" || word == "--memory" || word == "--faces") {
      ++i;
      const bool good = word == "--seconds"  ? number(value, o.seconds)
                        : word == "--memory" ? number(value, o.memory_mb)
                                             : number(value, o.read.faces);
      o.wrong = o.wrong || !good;
    } else if (word == "--mm") {
      o.read.numbers_are_mm = true;
    } else if (word == "--folder") {
      ++i;
      o.read.folder = value;
    } else if (word == "--write") {
      ++i;
      o.write = value;
    } else if (word.rfind("--", 0) == 0 || !o.read.path.empty()) {
      o.wrong = true;
    } else {
      o.read.path = word;
    }
  }
  o.wrong = o.wrong || (o.read.path.empty() == o.write.empty() && !o.help);
  return o;
}

void limit(int what, rlim_t soft, rlim_t hard) {
  const rlimit both{soft, hard};
  setrlimit(what, &both);
}

/// The kernel prints as it likes; the answer has standard output to itself.
int keep_output_clean() {
  std::fflush(stdout);
  const int answer = dup(1);
  const int nowhere = open("/dev/null", O_WRONLY);
  dup2(nowhere, 1);
  close(nowhere);
  return answer;
}

bool put(int file, const std::string& bytes) {
  std::size_t done = 0;
  while (done < bytes.size()) {
    const ssize_t n = ::write(file, bytes.data() + done, bytes.size() - done);
    if (n <= 0) return false;
    done += static_cast<std::size_t>(n);
  }
  return true;
}

int run_read(const Options& o) {
  const int answer = keep_output_clean();
  geometry::StepBundle bundle;
  try {
    bundle = step_reader::read(o.read);
  } catch (const std::bad_alloc&) {
    bundle = {};
    bundle.said.push_back(error("step-memory", {}, "reading needs more memory than it may take",
                                "give it more memory, or export the part with less detail"));
  }
  bool wrong = false;
  for (const Diagnostic& d : bundle.said) wrong = wrong || d.severity == Diagnostic::Severity::error;
  return !put(answer, geometry::to_bytes(bundle)) ? 4 : wrong ? 3 : 0;
}

/// The kernel writes some of its tables in the order of addresses: the same addresses give the same bytes.
void fix_addresses(char** argv) {
  const int now = personality(0xffffffff);
  if (now < 0 || (now & ADDR_NO_RANDOMIZE) != 0) return;
  if (personality(static_cast<unsigned long>(now) | ADDR_NO_RANDOMIZE) >= 0) execv("/proc/self/exe", argv);
}

int run_write(const Options& o) {
  const std::string bytes{std::istreambuf_iterator<char>(std::cin), std::istreambuf_iterator<char>()};
  keep_output_clean();
  const auto bundle = geometry::bundle_from_bytes(bytes);
  if (!bundle) {
    std::cerr << "handlot-step: standard input holds no solids\n";
    return 3;
  }
  const std::string fault = step_reader::write(*bundle, o.write);
  if (fault.empty()) return 0;
  std::cerr << "handlot-step: " << fault << '\n';
  return 4;
}

}  // namespace

#if defined(__SANITIZE_ADDRESS__)
/// The kernel's tables live to the end and are not given back: told of as leaks, they would make every reading a failure.
extern "C" const char* __asan_default_options();
extern "C" const char* __asan_default_options() { return "detect_leaks=0"; }
#endif

int main(int argc, char** argv) {
  const Options o = parse(argc, argv);
  if (o.help || o.wrong) {
    (o.help ? std::cout : std::cerr) << kHelp;
    return o.help ? 0 : 2;
  }
  if (!o.write.empty()) fix_addresses(argv);
  limit(RLIMIT_CPU, o.seconds, o.seconds + 2);
#if !defined(__SANITIZE_ADDRESS__) && !defined(__SANITIZE_THREAD__)  // their shadows reach over terabytes of addresses
  limit(RLIMIT_AS, o.memory_mb << 20, o.memory_mb << 20);
#endif
  limit(RLIMIT_CORE, 0, 0);
  return o.write.empty() ? run_read(o) : run_write(o);
}
