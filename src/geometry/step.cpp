#include "geometry/step.h"

#include <fcntl.h>
#include <fmt/format.h>
#include <poll.h>
#include <signal.h>
#include <spawn.h>
#include <sys/socket.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <chrono>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <iterator>

#include "core/text.h"
#include "geometry/step_bundle.h"

extern char** environ;

namespace handlot::geometry {

namespace {

std::string program_of(const StepLimits& limits) {
  if (!limits.program.empty()) return limits.program;
  std::error_code fault;
  const auto self = std::filesystem::read_symlink("/proc/self/exe", fault);
  return fault ? std::string("handlot-step") : (self.parent_path() / "handlot-step").string();
}

struct Ran {
  bool started = false;
  int status = 0;
  bool timed_out = false;
  std::string output;
};

/// Writes what fits, reads what is there, until the other side has closed or the time is over.
void converse(Ran& ran, int to_child, int from_child, std::string_view input, int seconds) {
  const auto until = std::chrono::steady_clock::now() + std::chrono::seconds(seconds);
  std::vector<char> buffer(1 << 16);
  while (true) {
    if (to_child >= 0 && input.empty()) {
      close(to_child);
      to_child = -1;
    }
    pollfd files[2] = {{from_child, POLLIN, 0}, {to_child, POLLOUT, 0}};
    const auto left =
        std::chrono::duration_cast<std::chrono::milliseconds>(until - std::chrono::steady_clock::now());
    if (left.count() <= 0 || poll(files, to_child >= 0 ? 2 : 1, static_cast<int>(left.count())) <= 0) {
      ran.timed_out = true;
      break;
    }
    if (to_child >= 0 && (files[1].revents & (POLLOUT | POLLERR)) != 0) {
      // A child that dies before it has read everything must not take us with it.
      const ssize_t n =
          send(to_child, input.data(), std::min<std::size_t>(input.size(), 1 << 16), MSG_NOSIGNAL);
      input = n > 0 ? input.substr(static_cast<std::size_t>(n)) : std::string_view{};
    }
    if ((files[0].revents & (POLLIN | POLLHUP)) != 0) {
      const ssize_t n = ::read(from_child, buffer.data(), buffer.size());
      if (n <= 0) break;
      ran.output.append(buffer.data(), static_cast<std::size_t>(n));
    }
  }
  if (to_child >= 0) close(to_child);
}

Ran run(std::vector<std::string> words, std::string_view input, int seconds) {
  Ran ran;
  int in[2], out[2];
  if (socketpair(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC, 0, in) != 0) return ran;
  if (pipe2(out, O_CLOEXEC) != 0) {
    close(in[0]), close(in[1]);
    return ran;
  }
  std::vector<char*> argv;
  for (std::string& w : words) argv.push_back(w.data());
  argv.push_back(nullptr);
  posix_spawn_file_actions_t files;
  posix_spawn_file_actions_init(&files);
  posix_spawn_file_actions_adddup2(&files, in[0], 0);
  posix_spawn_file_actions_adddup2(&files, out[1], 1);
  posix_spawn_file_actions_addopen(&files, 2, "/dev/null", O_WRONLY, 0);
  pid_t child = 0;
  ran.started = posix_spawn(&child, argv[0], &files, nullptr, argv.data(), environ) == 0;
  posix_spawn_file_actions_destroy(&files);
  close(in[0]), close(out[1]);
  if (!ran.started) {
    close(in[1]), close(out[0]);
    return ran;
  }
  converse(ran, in[1], out[0], input, seconds);
  close(out[0]);
  if (ran.timed_out) kill(child, SIGKILL);
  while (waitpid(child, &ran.status, 0) < 0 && errno == EINTR) {
  }
  return ran;
}

Diagnostic ended_badly(const Ran& ran, const std::string& path, const StepLimits& limits,
                       const std::string& program) {
  const Place place{path, 0, 0};
  if (!ran.started)
    return error("step-no-program", place,
                 fmt::format("the program that reads STEP files, '{}', could not be started", program),
                 "build handlot-step and put it beside handlot");
  const bool over_time =
      ran.timed_out ||
      (WIFSIGNALED(ran.status) && (WTERMSIG(ran.status) == SIGXCPU || WTERMSIG(ran.status) == SIGKILL));
  if (over_time)
    return error("step-time", place,
                 fmt::format("reading took longer than the {} s that it may take", limits.seconds),
                 "give it more seconds, or export the part with less detail");
  if (WIFEXITED(ran.status) && WEXITSTATUS(ran.status) == 127)
    return error("step-no-program", place,
                 fmt::format("the program that reads STEP files, '{}', could not be started", program),
                 "build handlot-step and put it beside handlot");
  return error(
      "step-crashed", place, "the reader broke down over this file, in memory or in its entities",
      "open the file in the program that wrote it and export it again, with fewer parts or less detail");
}

Result<StepBundle> ask(const std::string& path, const StepLimits& limits, const std::string& file,
                       const shapes::Cache& cache) {
  const std::string key = shapes::content_key(
      fmt::format("step 5 {} {} {}\n", limits.faces, limits.folder, limits.numbers_are_mm) + file);
  if (const auto kept = cache.get("step", key))
    if (auto bundle = bundle_from_bytes(*kept)) return bundle;
  const std::string program = program_of(limits);
  std::vector<std::string> words{program,     path,
                                 "--seconds", std::to_string(limits.seconds),
                                 "--memory",  std::to_string(limits.memory_mb),
                                 "--faces",   std::to_string(limits.faces),
                                 "--folder",  limits.folder};
  if (limits.numbers_are_mm) words.emplace_back("--mm");
  const Ran ran = run(std::move(words), {}, limits.seconds * 3 + 10);
  const bool answered =
      ran.started && WIFEXITED(ran.status) && (WEXITSTATUS(ran.status) == 0 || WEXITSTATUS(ran.status) == 3);
  if (!answered) return fail(ended_badly(ran, path, limits, program));
  auto bundle = bundle_from_bytes(ran.output);
  if (bundle) cache.put("step", key, ran.output);
  return bundle;
}

}  // namespace

Result<StepModel> read_step(const std::string& path, const StepLimits& limits, const Fineness& fineness,
                            const shapes::Cache& cache) {
  std::ifstream in(path, std::ios::binary);
  if (!in || std::filesystem::is_directory(path))
    return fail(error("step-unreadable", {path, 0, 0}, "the file cannot be opened",
                      "check the name and that it may be read"));
  const std::string file{std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
  auto bundle = ask(path, limits, file, cache);
  if (!bundle) return tl::unexpected(bundle.error());
  Diagnostics errors;
  StepModel model{bundle->unit, bundle->schema, {}, {}, {}};
  for (Diagnostic& d : bundle->said) {
    d.place.file = path;
    (d.severity == Diagnostic::Severity::error ? errors : model.warnings).push_back(d);
  }
  for (std::size_t i = 0; errors.empty() && i < bundle->shapes.size(); ++i) {
    auto solid = solid_from_bytes(std::move(bundle->shapes[i]), fineness, cache);
    if (!solid) {
      for (Diagnostic& d : solid.error()) {
        d.place.file = path;
        errors.push_back(d);
      }
      break;
    }
    model.shapes.push_back(std::move(*solid));
  }
  if (!errors.empty()) return fail(std::move(errors));
  for (BundledSolid& s : bundle->solids) {
    StepSolid solid{s.name, s.instance, s.path, s.at, s.colour, s.shape, {}};
    if (s.stated_volume) solid.stated_volume = CubicMillimetres(*s.stated_volume);
    model.solids.push_back(std::move(solid));
  }
  return model;
}

Result<std::monostate> write_step(const std::string& path, const std::string& name,
                                  const std::vector<StepPart>& parts, const StepLimits& limits) {
  StepBundle bundle;
  bundle.name = name;
  std::vector<std::string> keys;
  for (const StepPart& part : parts) {
    const auto known = std::find(keys.begin(), keys.end(), part.solid.key());
    const auto shape = static_cast<std::size_t>(known - keys.begin());
    if (known == keys.end()) {
      keys.push_back(part.solid.key());
      bundle.shapes.push_back(to_bytes(part.solid));
    }
    bundle.solids.push_back({part.name, part.name, {}, shape, part.at, part.colour, {}});
  }
  const std::string program = program_of(limits);
  const Ran ran = run({program, "--write", path, "--seconds", std::to_string(limits.seconds), "--memory",
                       std::to_string(limits.memory_mb)},
                      to_bytes(bundle), limits.seconds * 3 + 10);
  if (ran.started && WIFEXITED(ran.status) && WEXITSTATUS(ran.status) == 0) return std::monostate{};
  if (!ran.started) return fail(ended_badly(ran, path, limits, program));
  return fail(error("step-not-written", {path, 0, 0}, "the STEP file could not be written",
                    "check that its folder exists and may be written"));
}

}  // namespace handlot::geometry
