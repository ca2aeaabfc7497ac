#include <catch2/catch.hpp>

#include <set>

#include "bench/access.h"

using namespace handlot;
using namespace handlot::bench;

namespace {

struct Gate {
  std::int64_t now_ms = 0;
  std::vector<std::string> heard;
  std::vector<record::Screen> kept;
  Access access;
  explicit Gate(bool open = false)
      : access(
            rules(open), {}, [this] { return now_ms; },
            [this](const record::Screen& s) { kept.push_back(s); },
            [this](const std::string& line) { heard.push_back(line); }) {}
  static AccessRules rules(bool open) {
    AccessRules r;
    r.open = open;
    r.hosts = {"10.0.0.5:8014"};
    return r;
  }
};

Request request(const std::string& method, const std::string& path) {
  Request r;
  r.method = method;
  r.path = path;
  r.peer = "10.0.0.9";
  r.host = "10.0.0.5:8014";
  if (method == "POST") {
    r.origin = "http://10.0.0.5:8014";
    r.length = 10;
  }
  return r;
}

int status(Gate& gate, const Request& r) {
  const auto answer = gate.access.refuse_early(r);
  return answer ? answer->status : 200;
}

Request paired(Gate& gate, const std::string& code, const std::string& method = "POST",
               const std::string& path = "/do") {
  Request r = request("POST", "/pair");
  r.fields = {{"code", code}, {"label", "phone"}};
  const Answer answer = gate.access.pair(r, 5);
  REQUIRE(answer.status == 303);
  for (const auto& [name, value] : answer.headers)
    if (name == "Set-Cookie") {
      CHECK(value.find("HttpOnly") != std::string::npos);
      CHECK(value.find("SameSite=Strict") != std::string::npos);
      Request out = request(method, path);
      out.cookie = "other=1; " + value.substr(0, value.find(';'));
      return out;
    }
  FAIL("no cookie");
  return {};
}

}  // namespace

TEST_CASE("without a code nothing but the pairing page answers", "[bench][access]") {
  Gate gate;
  CHECK(status(gate, request("GET", "/lot")) == 401);
  CHECK(status(gate, request("GET", "/")) == 303);
  CHECK(status(gate, request("POST", "/do")) == 401);
  CHECK(status(gate, request("GET", "/live")) == 401);
  CHECK(status(gate, request("GET", "/pair")) == 200);
  CHECK(gate.heard.size() == 3);
}

TEST_CASE("a code pairs a screen, to write or to look", "[bench][access]") {
  Gate gate;
  CHECK(status(gate, paired(gate, gate.access.codes().write)) == 200);
  const auto reader = paired(gate, gate.access.codes().read);
  CHECK(status(gate, reader) == 403);
  Request look = reader;
  look.method = "GET";
  look.path = "/lot";
  CHECK(status(gate, look) == 200);
  REQUIRE(gate.kept.size() == 2);
  CHECK(gate.kept[0].token_hash.size() == 64);
  CHECK(look.cookie.find(gate.kept[1].token_hash) == std::string::npos);  // only its hash is kept
}

TEST_CASE("a code may be typed in small letters and without the hyphen", "[bench][access]") {
  Gate gate;
  std::string typed;
  for (const char c : gate.access.codes().write)
    if (c != '-') typed += static_cast<char>(std::tolower(c));
  CHECK(status(gate, paired(gate, " " + typed)) == 200);
}

TEST_CASE("wrong codes are slowed down, from one address and from all", "[bench][access]") {
  Gate gate;
  Request guess = request("POST", "/pair");
  guess.fields = {{"code", "AAAA-AAAA"}};
  for (int i = 0; i < 5; ++i) CHECK(gate.access.pair(guess, 0).status == 401);
  guess.fields["code"] = gate.access.codes().write;
  CHECK(gate.access.pair(guess, 0).status == 429);  // even the right one has to wait
  gate.now_ms += 59'999;
  CHECK(gate.access.pair(guess, 0).status == 429);
  gate.now_ms += 2;
  CHECK(gate.access.pair(guess, 0).status == 303);

  guess.fields["code"] = "BBBB-BBBB";
  int refused = 0;
  for (int i = 0; i < 40; ++i) {
    guess.peer = fmt::format("10.0.1.{}", i);
    refused += gate.access.pair(guess, 0).status == 429 ? 1 : 0;
  }
  CHECK(refused >= 20);
}

TEST_CASE("a withdrawn screen is out at once, and stays out", "[bench][access]") {
  Gate gate;
  const auto screen = paired(gate, gate.access.codes().write);
  CHECK(gate.access.withdraw(gate.kept[0].token_hash));
  CHECK(status(gate, screen) == 401);
  CHECK_FALSE(gate.access.withdraw("nobody"));
  Access later(
      gate.access.rules(), {gate.kept.back()}, [] { return 0; }, [](const auto&) {}, [](const auto&) {});
  CHECK(later.right_of(screen) == Right::none);
}

TEST_CASE("new codes end the old ones, not the paired screens", "[bench][access]") {
  Gate gate;
  const auto screen = paired(gate, gate.access.codes().write);
  const auto old = gate.access.codes();
  gate.access.renew_codes();
  CHECK(old.write != gate.access.codes().write);
  Request r = request("POST", "/pair");
  r.fields = {{"code", old.write}};
  CHECK(gate.access.pair(r, 0).status == 401);
  CHECK(status(gate, screen) == 200);
}

TEST_CASE("changes come from the bench's own pages only, even where no code is asked", "[bench][access]") {
  for (const bool open : {true, false}) {
    Gate gate(open);
    Request r = open ? request("POST", "/do") : paired(gate, gate.access.codes().write);
    CHECK(status(gate, r) == 200);
    for (const char* origin : {"http://evil.example", "null", "https://10.0.0.5:8014", "http://10.0.0.5:8015",
                               "http://10.0.0.5:8014.evil.example"}) {
      r.origin = origin;
      CHECK(status(gate, r) == 403);
    }
    r.origin.clear();
    CHECK(status(gate, r) == 403);
    r.fetch_site = "cross-site";
    CHECK(status(gate, r) == 403);
    r.fetch_site = "same-origin";
    CHECK(status(gate, r) == 200);
  }
}

TEST_CASE("another host name is refused: a name that points here is no way in", "[bench][access]") {
  Gate gate(true);
  for (const char* host : {"evil.example", "", "10.0.0.5", "10.0.0.5:80", "evil.example:8014"}) {
    Request r = request("GET", "/");
    r.host = host;
    CHECK(status(gate, r) == 421);
  }
}

TEST_CASE("path tricks, methods and sizes", "[bench][access]") {
  Gate gate(true);
  for (const std::string path :
       {"/../etc/passwd", "/page/..", "/a\\b", "//evil.example/", "/photo/x/../../y"})
    CHECK(status(gate, request("GET", path)) == 400);
  CHECK(status(gate, request("GET", "/" + std::string(600, 'a'))) == 400);
  CHECK(status(gate, request("GET", std::string("/a\0b", 4))) == 400);
  for (const char* method : {"PUT", "DELETE", "OPTIONS", "TRACE", "PATCH"})
    CHECK(status(gate, request(method, "/")) == 405);
  Request big = request("POST", "/do");
  big.length = 64 * 1024 + 1;
  CHECK(status(gate, big) == 413);
  big.path = "/photo";
  CHECK(status(gate, big) == 200);
  big.length = 8 * 1024 * 1024 + 1;
  CHECK(status(gate, big) == 413);
  big.length.reset();
  CHECK(status(gate, big) == 411);
  CHECK(gate.access.refusals().size() == gate.heard.size());
}

TEST_CASE("codes have no look-alikes and do not repeat", "[bench][access]") {
  std::set<std::string> seen;
  for (int i = 0; i < 500; ++i) {
    const auto code = fresh_code();
    CHECK(code.size() == 9);
    CHECK(code[4] == '-');
    CHECK(code.find_first_of("0O1IL") == std::string::npos);
    CHECK(seen.insert(code).second);
  }
}

// TRUTH  FIPS 180-4 example: SHA-256 of "abc" (csrc.nist.gov, from memory).
TEST_CASE("the hash of a photo is SHA-256", "[bench][truth]") {
  CHECK(sha256_hex("abc") == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
}
