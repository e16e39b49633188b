#include "report/desk/server/tls.h"

#include <openssl/err.h>
#include <openssl/ssl.h>
#include <sys/socket.h>
#include <unistd.h>

#include "ledger/words/words.h"

namespace trayproof::desk {
namespace {

class TlsWire final : public Wire {
 public:
  TlsWire(SSL* session, int socket) : session_(session), socket_(socket) {}
  ~TlsWire() override {
    SSL_free(session_);
    ::close(socket_);
  }
  TlsWire(const TlsWire&) = delete;
  TlsWire& operator=(const TlsWire&) = delete;

  int socket() const override { return socket_; }
  Moved greet() override { return outcome(SSL_accept(session_)); }

  Moved read(char* into, std::size_t size, std::size_t& moved) override {
    moved = 0;
    ERR_clear_error();
    return outcome(SSL_read_ex(session_, into, size, &moved));
  }

  Moved write(const char* bytes, std::size_t size, std::size_t& moved) override {
    moved = 0;
    ERR_clear_error();
    return outcome(SSL_write_ex(session_, bytes, size, &moved));
  }

  bool holds_more() const override { return SSL_has_pending(session_) == 1; }

  void end_writing() override {
    if (!broken_) SSL_shutdown(session_);
    ERR_clear_error();
    ::shutdown(socket_, SHUT_WR);
  }

 private:
  Moved outcome(int done) {
    if (done == 1) return Moved::some;
    const int what = SSL_get_error(session_, done);
    ERR_clear_error();
    if (what == SSL_ERROR_WANT_READ) return Moved::nothing_to_read;
    if (what == SSL_ERROR_WANT_WRITE) return Moved::nowhere_to_put;
    if (what == SSL_ERROR_ZERO_RETURN) return Moved::ended;
    broken_ = true;  // after such an error OpenSSL allows no further call but SSL_free
    return Moved::broken;
  }

  SSL* session_;
  int socket_;
  bool broken_ = false;
};

class Context final : public Tls {
 public:
  explicit Context(SSL_CTX* context) : context_(context) {}
  ~Context() override { SSL_CTX_free(context_); }
  Context(const Context&) = delete;
  Context& operator=(const Context&) = delete;

  std::unique_ptr<Wire> wire(int socket) override {
    SSL* session = SSL_new(context_);
    if (session == nullptr || SSL_set_fd(session, socket) != 1) {
      SSL_free(session);
      ::close(socket);
      return nullptr;
    }
    return std::make_unique<TlsWire>(session, socket);
  }

 private:
  SSL_CTX* context_;
};

std::string library_says() {
  char text[256] = "";
  ERR_error_string_n(ERR_get_error(), text, sizeof text);
  ERR_clear_error();
  return text;
}

Error cannot(const std::string& file) {
  return {ErrorCode::invalid, say("desk.tls-file", {{"file", file}, {"why", library_says()}})};
}

}  // namespace

Result<std::shared_ptr<Tls>> Tls::open(const TlsFiles& files) {
  SSL_CTX* made = SSL_CTX_new(TLS_server_method());
  if (made == nullptr) return Error(ErrorCode::unavailable, library_says());
  auto context = std::make_shared<Context>(made);
  SSL_CTX_set_min_proto_version(made, TLS1_2_VERSION);
  // No renegotiation and no compression: both were ways in. Partial writes and moving buffers suit a loop that never
  // waits.
  SSL_CTX_set_options(made, SSL_OP_NO_RENEGOTIATION | SSL_OP_NO_COMPRESSION | SSL_OP_CIPHER_SERVER_PREFERENCE);
  SSL_CTX_set_mode(made, SSL_MODE_ENABLE_PARTIAL_WRITE | SSL_MODE_ACCEPT_MOVING_WRITE_BUFFER);
  if (SSL_CTX_use_certificate_chain_file(made, files.certificate.c_str()) != 1) return cannot(files.certificate);
  if (SSL_CTX_use_PrivateKey_file(made, files.key.c_str(), SSL_FILETYPE_PEM) != 1) return cannot(files.key);
  if (SSL_CTX_check_private_key(made) != 1) return cannot(files.key);
  return std::shared_ptr<Tls>(context);
}

}  // namespace trayproof::desk
