// A request that is whole, and the answer to it, in plain types: what pages and the API see of HTTP.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "report/desk/server/head.h"

namespace trayproof::desk {

// One part of a multipart form. The name of a file is what the sender says, never a name to write to.
struct Part {
  std::string name;
  std::string file_name;
  std::string type;
  std::string bytes;
};

struct Request {
  Head head;
  std::string body;         // empty where it came in parts
  std::vector<Part> parts;  // of a multipart form
  std::string peer;         // the address at the other end of the connection
  bool secure = false;      // over TLS
};

struct Response {
  int status = 200;
  std::string type = "text/plain; charset=utf-8";
  std::string body = {};
  std::vector<std::pair<std::string, std::string>> headers = {};
};

// Requests wait in lanes, so that slow ones never hold up quick ones.
enum class Lane {
  quick,  // recording, pages
  slow,   // answers over years
  pin,    // opening a sealed key: 64 MiB and a third of a second each
  photo,  // waiting for a process that looks for a code
};
inline constexpr std::size_t lanes = 4;

// What stands behind the server.
class Application {
 public:
  virtual ~Application() = default;

  struct Admission {
    std::int64_t body_bytes_max = 0;
    Lane lane = Lane::quick;
  };
  // Asked when the head is whole and before a byte of the body is. Runs on the thread that gathers: never waits.
  virtual std::variant<Admission, Refusal> admit(const Head& head, std::string_view peer) const = 0;
  // Runs on a worker, many at once. What it throws becomes a 500 that tells nothing.
  virtual Response answer(const Request& request) = 0;
  // A request whose answer threw: for the log.
  virtual void failed(const Request& request, std::string_view what) = 0;
};

}  // namespace trayproof::desk
