// TLS on the same connections: certificate and key from two PEM files, TLS 1.2 or later. The only owner of OpenSSL's
// ssl.h.
#pragma once

#include <memory>
#include <string>

#include "ledger/base/result.h"
#include "report/desk/server/wire.h"

namespace trayproof::desk {

struct TlsFiles {
  std::string certificate;  // with the chain behind it
  std::string key;
};

class Tls {
 public:
  // Invalid, with the file, when they cannot be read or do not belong together.
  static Result<std::shared_ptr<Tls>> open(const TlsFiles& files);
  virtual ~Tls() = default;
  // Takes the socket over; closed when the wire goes.
  virtual std::unique_ptr<Wire> wire(int socket) = 0;
};

}  // namespace trayproof::desk
