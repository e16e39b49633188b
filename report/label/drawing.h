// What pictures are made for: SVG and PNG hold one page, PDF as many as there are.
#pragma once

namespace trayproof::label {

enum class Drawing { svg, png, pdf };

}  // namespace trayproof::label
