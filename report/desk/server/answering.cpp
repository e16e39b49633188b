// The only include of httplib.h.
#include "report/desk/server/answering.h"

#include <httplib.h>

#include <cstring>
#include <exception>

#include "ledger/base/desk_limits.h"
#include "ledger/words/words.h"

namespace trayproof::desk {
namespace {

// A request in memory in, an answer in memory out.
class InMemory final : public httplib::Stream {
 public:
  InMemory(std::string_view head, std::string_view body) : parts_{head, body} {}
  std::string out;

  bool is_readable() const override { return true; }
  bool is_writable() const override { return true; }
  ssize_t read(char* into, std::size_t size) override {
    std::string_view& from = parts_[0].empty() ? parts_[1] : parts_[0];
    const std::size_t count = std::min(size, from.size());
    std::memcpy(into, from.data(), count);
    from.remove_prefix(count);
    return static_cast<ssize_t>(count);
  }
  ssize_t write(const char* bytes, std::size_t size) override {
    out.append(bytes, size);
    return static_cast<ssize_t>(size);
  }
  void get_remote_ip_and_port(std::string&, int&) const override {}
  void get_local_ip_and_port(std::string&, int&) const override {}
  socket_t socket() const override { return INVALID_SOCKET; }

 private:
  std::string_view parts_[2];
};

// The head as the library is to see it: nothing in it but what settles the body. No path (its patterns are recursive),
// no Range, no Expect, no encodings.
std::string head_for_library(const Head& head, bool keep) {
  std::string out = head.method + " / HTTP/1.1\r\nHost: desk\r\n";
  if (head.method == "POST") out += "Content-Length: " + std::to_string(head.body_bytes) + "\r\n";
  const std::string_view type = head.header("content-type");
  if (type.starts_with("multipart/form-data")) out += "Content-Type: " + std::string(type) + "\r\n";
  if (!keep) out += "Connection: close\r\n";
  return out + "\r\n";
}

}  // namespace

class Answering::Library final : public httplib::Server {
 public:
  explicit Library(Application& application) : application_(application) {
    const auto answer = [this](const httplib::Request& from, httplib::Response& to) { put_answer(from, to); };
    Get("/", answer);
    Post("/", answer);
    set_payload_max_length(limits::desk_upload_bytes + 1);
    set_keep_alive_timeout(limits::desk_idle_seconds);
    set_keep_alive_max_count(limits::desk_requests_a_connection);
    set_error_handler([](const httplib::Request&, httplib::Response& to) {
      // Reached without an answer of ours only when the library cannot take a form apart.
      if (to.body.empty()) to.set_content(say("desk.refused-form") + "\n", "text/plain; charset=utf-8");
    });
  }

  Answer answer(Request request, bool keep) {
    const std::string head = head_for_library(request.head, keep);
    const std::string body = std::move(request.body);
    request.body.clear();
    InMemory stream(head, body);
    // The library hands nothing through but its own types; a worker answers one request at a time.
    Exchange exchange{request, stream};
    current_ = &exchange;
    bool closed = false;
    const bool answered = process_request(stream, !keep, closed, nullptr);
    current_ = nullptr;
    return {.bytes = std::move(stream.out), .close = !answered || closed || !keep};
  }

 private:
  void put_answer(const httplib::Request& from, httplib::Response& to) {
    Request& request = current_->request;
    request.body = from.body;
    for (const auto& [name, file] : from.files) {
      request.parts.push_back(
          {.name = file.name, .file_name = file.filename, .type = file.content_type, .bytes = file.content});
    }
    Response response;
    // The first wall at which a library's exception stops: nothing of it goes out.
    try {
      response = application_.answer(request);
    } catch (const std::exception& found) {
      application_.failed(request, found.what());
      response = {.status = 500, .body = say("desk.failed") + "\n"};
    }
    to.status = response.status;
    for (const auto& [name, value] : response.headers) to.set_header(name, value);
    if (response.body.empty()) return;
    // As its `set_content` does, which copies.
    to.set_header("Content-Type", response.type);
    to.body = std::move(response.body);
    constexpr std::size_t head_bytes = 2 * 1024;
    current_->stream.out.reserve(to.body.size() + head_bytes);
  }

  Application& application_;
  struct Exchange {
    Request& request;
    InMemory& stream;
  };
  static thread_local Exchange* current_;
};

thread_local Answering::Library::Exchange* Answering::Library::current_ = nullptr;

Answering::Answering(Application& application) : library_(std::make_unique<Library>(application)) {}

Answering::~Answering() = default;

Answering::Answer Answering::answer(Request request, bool keep) { return library_->answer(std::move(request), keep); }

std::string refusal_bytes(Refusal refusal) {
  const int status = status_of(refusal);
  const std::string body = word(refusal) + "\n";
  std::string out = "HTTP/1.1 " + std::to_string(status) + " " + std::string(reason_of(status)) + "\r\n";
  out += "Content-Type: text/plain; charset=utf-8\r\nContent-Length: " + std::to_string(body.size()) + "\r\n";
  out += "Cache-Control: no-store\r\nX-Content-Type-Options: nosniff\r\n";
  if (status == 503) out += "Retry-After: 2\r\n";
  if (status == 405) out += "Allow: GET, HEAD, POST\r\n";
  return out + "Connection: close\r\n\r\n" + body;
}

}  // namespace trayproof::desk
