//! Whether this machine can draw a window, asked before one is opened.

use eframe::wgpu;

/// Why there is no window.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum NoWindow {
    /// Neither a display of X11 nor of Wayland.
    #[error("there is no display to open a window on; run it in a desktop session, or over ssh -X")]
    NoDisplay,
    /// No graphics adapter.
    #[error(
        "there is no graphics adapter to draw with; a driver for Vulkan is needed, on Debian: apt install libvulkan1 mesa-vulkan-drivers"
    )]
    NoAdapter,
    /// A library that a window needs.
    #[error("the window could not be opened: {0}")]
    Refused(String),
}

/// The name of an adapter that can draw.
///
/// # Errors
/// [`NoWindow::NoAdapter`].
pub fn find() -> Result<String, NoWindow> {
    let instance =
        wgpu::Instance::new(wgpu::InstanceDescriptor::new_without_display_handle_from_env());
    let adapters = pollster::block_on(instance.enumerate_adapters(wgpu::Backends::all()));
    adapters
        .first()
        .map(|adapter| adapter.get_info().name)
        .ok_or(NoWindow::NoAdapter)
}
