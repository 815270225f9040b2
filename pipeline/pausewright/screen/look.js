// Text size and contrast, kept for this computer.
function setUpLook(smaller, larger, contrast) {
  const sizes = [87.5, 100, 112.5, 125, 150, 175, 200];
  const key = "pausewright/look";
  let look = {size: 100, contrast: ""};
  try { look = {...look, ...JSON.parse(localStorage.getItem(key))}; } catch { /* as it comes */ }
  const show = () => {
    const at = Math.max(0, sizes.indexOf(look.size));
    document.documentElement.style.fontSize = `${sizes[at]}%`;
    if (look.contrast) document.documentElement.dataset.look = look.contrast;
    else delete document.documentElement.dataset.look;
    smaller.disabled = at === 0;
    larger.disabled = at === sizes.length - 1;
    contrast.value = look.contrast;
    try { localStorage.setItem(key, JSON.stringify(look)); } catch { /* for now only */ }
  };
  const step = by => {
    const at = Math.max(0, sizes.indexOf(look.size)) + by;
    look.size = sizes[Math.min(sizes.length - 1, Math.max(0, at))];
    show();
  };
  smaller.addEventListener("click", () => step(-1));
  larger.addEventListener("click", () => step(1));
  contrast.addEventListener("change", () => { look.contrast = contrast.value; show(); });
  show();
}
