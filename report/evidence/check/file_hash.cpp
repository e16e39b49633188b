#include "report/evidence/check/file_hash.h"

#include <cerrno>
#include <cstdio>
#include <cstring>
#include <memory>

#include "ledger/crypto/hash.h"

namespace trayproof::evidence {

Result<Digest> sha256_of_file(const std::string& path) {
  const auto close = [](std::FILE* file) { std::fclose(file); };
  const std::unique_ptr<std::FILE, decltype(close)> file(std::fopen(path.c_str(), "rbe"), close);
  if (!file) return Error(ErrorCode::missing, path + ": " + std::strerror(errno));
  crypto::Sha256Stream stream;
  Bytes buffer(256 * 1024);
  while (true) {
    const std::size_t got = std::fread(buffer.data(), 1, buffer.size(), file.get());
    if (got == 0) break;
    stream.feed({buffer.data(), got});
  }
  if (std::ferror(file.get()) != 0) return Error(ErrorCode::unavailable, path + ": " + std::strerror(errno));
  return stream.finish();
}

}  // namespace trayproof::evidence
