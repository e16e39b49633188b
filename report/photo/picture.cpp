#include "report/photo/picture.h"

#include <png.h>
#include <turbojpeg.h>

#include <memory>

#include "ledger/base/desk_limits.h"

namespace trayproof::photo {
namespace {

constexpr std::uint8_t png_start[] = {0x89, 'P', 'N', 'G', '\r', '\n', 0x1A, '\n'};
constexpr std::uint8_t jpeg_start[] = {0xFF, 0xD8, 0xFF};

bool starts(ByteView bytes, std::span<const std::uint8_t> with) {
  return bytes.size() >= with.size() && std::equal(with.begin(), with.end(), bytes.begin());
}

bool is_too_large(std::int64_t width, std::int64_t height) { return width * height > limits::photo_pixels; }

// By whole steps: each pixel is the mean of a square of them. A strip narrower than a step holds no code.
std::variant<Grey, NoPicture> made_smaller(Grey from) {
  const int step = (std::max(from.width, from.height) + limits::photo_side - 1) / limits::photo_side;
  if (step <= 1) return from;
  Grey to{.width = from.width / step, .height = from.height / step, .pixels = {}};
  if (to.width == 0 || to.height == 0) return NoPicture::not_read;
  to.pixels.reserve(static_cast<std::size_t>(to.width) * static_cast<std::size_t>(to.height));
  const auto wide = static_cast<std::size_t>(from.width);
  const auto side = static_cast<std::size_t>(step);
  for (std::size_t y = 0; y < static_cast<std::size_t>(to.height); ++y) {
    for (std::size_t x = 0; x < static_cast<std::size_t>(to.width); ++x) {
      std::size_t sum = 0;
      for (std::size_t row = y * side; row < (y + 1) * side; ++row) {
        for (std::size_t column = x * side; column < (x + 1) * side; ++column) sum += from.pixels[row * wide + column];
      }
      to.pixels.push_back(static_cast<std::uint8_t>(sum / (side * side)));
    }
  }
  return to;
}

struct Decompressor {
  void operator()(void* handle) const { tjDestroy(handle); }
};

// The library makes it smaller by eighths while it decodes, which saves time and memory.
tjscalingfactor scale_for(int width, int height) {
  int count = 0;
  const tjscalingfactor* factors = tjGetScalingFactors(&count);
  tjscalingfactor best{1, 1};
  for (int i = 0; i < count; ++i) {
    const tjscalingfactor one = factors[i];
    if (one.num > one.denom) continue;
    const bool fits = TJSCALED(std::max(width, height), one) <= limits::photo_side;
    const bool best_fits = TJSCALED(std::max(width, height), best) <= limits::photo_side;
    const bool larger = one.num * best.denom > best.num * one.denom;
    if (fits ? !best_fits || larger : !best_fits && !larger) best = one;
  }
  return best;
}

std::variant<Grey, NoPicture> read_jpeg(ByteView bytes) {
  const std::unique_ptr<void, Decompressor> handle(tjInitDecompress());
  if (!handle) return NoPicture::not_read;
  int width = 0;
  int height = 0;
  int sampling = 0;
  int colours = 0;
  const auto size = static_cast<unsigned long>(bytes.size());
  if (tjDecompressHeader3(handle.get(), bytes.data(), size, &width, &height, &sampling, &colours) != 0 || width < 1 ||
      height < 1)
    return NoPicture::not_read;
  if (is_too_large(width, height)) return NoPicture::too_large;
  const tjscalingfactor scale = scale_for(width, height);
  Grey grey{.width = TJSCALED(width, scale), .height = TJSCALED(height, scale), .pixels = {}};
  grey.pixels.resize(static_cast<std::size_t>(grey.width) * static_cast<std::size_t>(grey.height));
  // A photo that was cut off on its way is read as far as it goes: that is a warning and no error.
  const int done = tjDecompress2(handle.get(), bytes.data(), size, grey.pixels.data(), grey.width, 0, grey.height,
                                 TJPF_GRAY, TJFLAG_FASTDCT | TJFLAG_LIMITSCANS);
  if (done != 0 && tjGetErrorCode(handle.get()) == TJERR_FATAL) return NoPicture::not_read;
  return made_smaller(std::move(grey));
}

struct PngImage {
  png_image image{};
  ~PngImage() { png_image_free(&image); }
};

std::variant<Grey, NoPicture> read_png(ByteView bytes) {
  PngImage png;
  png.image.version = PNG_IMAGE_VERSION;
  if (png_image_begin_read_from_memory(&png.image, bytes.data(), bytes.size()) == 0) return NoPicture::not_read;
  if (is_too_large(png.image.width, png.image.height)) return NoPicture::too_large;
  png.image.format = PNG_FORMAT_GRAY;
  Grey grey{.width = static_cast<int>(png.image.width), .height = static_cast<int>(png.image.height), .pixels = {}};
  grey.pixels.resize(PNG_IMAGE_SIZE(png.image));
  const png_color paper{255, 255, 255};  // behind what is transparent
  if (png_image_finish_read(&png.image, &paper, grey.pixels.data(), 0, nullptr) == 0) return NoPicture::not_read;
  return made_smaller(std::move(grey));
}

}  // namespace

std::variant<Grey, NoPicture> read_picture(ByteView bytes) {
  if (starts(bytes, jpeg_start)) return read_jpeg(bytes);
  if (starts(bytes, png_start)) return read_png(bytes);
  return NoPicture::not_read;
}

}  // namespace trayproof::photo
